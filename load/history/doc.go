// Package history follows sterilizers and packs through time: what no record of one load
// can show.
//
// A [History] takes records, events ([Event]: tests, repairs, days with patients) and
// stored packs ([StoredPack]), in any order, in parts and more than once, and answers:
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
// Where only the calendar is asked, [Summary] does the same for any number of loads
// in memory that grows with days. [CheckStored] judges a pack in store or used.
//
//	h := history.New(policy)
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
