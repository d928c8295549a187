// Package load checks the record of one sterilizer load and says, pack by pack,
// whether it may be released, why, and who says so.
//
//	record, err := load.Decode(data)
//	if err != nil {
//		return err // could not be read; nothing was judged
//	}
//	policy, err := load.PolicyFor("us-cdc-2003")
//	if err != nil {
//		return err
//	}
//	report := load.Check(record, policy)
//	fmt.Print(report.Text())
//
// It supports a trained person's decision and does not replace it: manufacturers'
// instructions come first, then local codes and licensed practice.
//
// # Verdicts
//
// Every rule is evaluated; nothing stops at the first match. Each finding has an
// effect on its pack, the load, the sterilizer or a recall, and the worst effect in
// each scope is the verdict. A pack's verdict never softens the load's. Missing
// evidence is never a pass: what is not recorded is undetermined, and where it
// decides sterility it quarantines the pack or the load.
//
// # What a load cannot show
//
// A record tells of what was in the chamber. It cannot tell that something was used
// without having been in one: that a critical item was only disinfected, or that a
// handpiece, motor or attachment went from one patient to the next after a wipe. The
// rule of Washington on low-speed motors, from 31 August 2022, is of this sort. What a
// record shows of it is how an item was cleaned, whether it stands the heat, and, in a
// history, whether a pack that was used comes from a released load.
//
// # What is said once
//
// A [Catalogue] holds what a facility knows of its items, packs, machines and staff, each entry
// from a day on, and the practices that a person signed. [Facts.Resolve] writes out what a
// record refers to; what the record states itself stays. [Record.AllPacks] is one statement
// for all packs. Nothing of a load's physical record, indicators, dryness, integrity,
// identity or release is ever filled in. A practice that a load shows not to be kept is
// suspended: at that load by Resolve, and at later ones by what a history knows. A finding's
// Origin says where a person edits what an entry says, and Report.Catalogue what rests on
// practice.
//
// # Days
//
// A rule, figure or table may start or end on a day; [Policy.On] says how a day is
// chosen. A record is judged by its date of sterilization.
//
// # One sterilizer through time
//
// A single record cannot show a missing test, a cycle number used twice or which
// packs to find after a failure. That is for package history, which takes records,
// tests, repairs and stored packs together.
//
// Nor can it show that its sterilizer was out of service, or that its trace is another
// load's. What a history knows travels as a [Known]: [CheckKnowing] lets the tests in it
// count for the duties of the policy, releases no load that was run while the sterilizer
// was out of service, and finds the same trace on two loads. [Check] is that with nothing
// known, and the report says that it rests on the record alone.
//
// What the duties ask of the time between a test and the load is the same line of the
// policy for both. Where days or hours of use count, a single record leaves the answer
// open and only a history closes it.
//
// [Policy.KeepUntil] says how long a record
// is kept.
//
// # Reading
//
// [Decode] and [Records] are strict and bounded: 8 MiB a record, 32 levels, 4096
// bytes a string, 18 digits a number. An error says that something could not be
// read; what is wrong with a load is a finding.
//
// A program that fills or edits a [Record] itself is held to the same: [Record.Validate]
// says what Decode would have refused, and [Check] quarantines a load whose record no document
// could carry, by the rule load.record.invalid.
//
// # Caution
//
// What a report tells a person to do can injure: steam, hot water and trays burn, a chamber
// is under pressure, liquids boil over, instruments cut and infect, live spores, cleaners,
// current and weight harm, and prions outlast every routine cycle. Rules name these hazards;
// the text puts a WARNING before the action, and Report.Warnings says in JSON what protects,
// with its sources. Show it before the remedy, and to the person who does the work. The
// safety instructions of the sterilizer always come first, and no warning stands for
// training.
//
// # Concurrency
//
// Policies never change and reports belong to their caller; every function may be
// called from many goroutines.
package load
