// Package history follows sterilizers and packs through time: what no record of one load
// can show.
//
// A [History] takes records, events ([Event]: tests, repairs, days with patients),
// stored packs ([StoredPack]) and amendments ([Amendment]), in any order, in parts and
// more than once, and answers:
//
//   - [History.Check]: may this load be released, by its record and by what is known of
//     its sterilizer
//   - [History.Due]: which tests the policy asks for, and where each stands
//   - [History.Findings]: what the calendar, the log, recalls and procedures break
//   - [History.Recall]: which loads and packs are suspect after a failure, implants
//     first, where they are, and the reasoning
//   - [History.Procedures]: what a positive biological test or a repair asks for next
//     and what would end it
//   - [History.Status] and [History.OutOfService]: which sterilizers may be used, and when
//     they could not be
//   - [History.Drift]: whether heat-up, pulse depth, spread or leak rate move
//
// Records that refer to a catalogue need it: [History.UseCatalogue], once, before the first.
//
// Every line counts. Where two about one thing contradict each other a load is suspect if
// it is by either, and a finding says so. What was entered wrongly is taken back by an
// amendment, with a name and a reason that the answers show; nothing else that was said
// is forgotten. So add a record when its load is finished: what an earlier version leaves
// open stays open, except that later evidence may complete it for a release.
//
// [History.Save] and [Load] keep a history in a file, [History.Append] goes on with it.
//
// A history holds at most 1,100 bytes of each load with two packs, whatever its trace: ten
// years of 50 sterilizers that run 20 loads a day are 3.65 million, at most 4.0 GB. A site
// that keeps less of them in memory saves by year. An answer takes time in proportion to
// what goes into it, but for a logarithm.
//
// Where only the calendar is asked, [Summary] does the same for any number of loads
// in memory that grows with days. [CheckStored] judges a pack in store or used.
//
//	h := history.New(policy)
//	h.UseCatalogue(facts) // of load.Catalogue.Facts; nil where records refer to none
//	for entry, err := range history.Entries(file) {
//		if err != nil {
//			return err
//		}
//		h.AddEntry(entry)
//	}
//	for _, s := range h.Recall() {
//		fmt.Println(s)
//	}
package history
