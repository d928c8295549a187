// Package load checks the record of one sterilizer load and says, pack by pack,
// whether it may be released, why, and who says so.
//
//	record, err := load.Decode(data)
//	if err != nil {
//		return err // could not be read; nothing was judged
//	}
//	policy, err := load.PolicyFor("us-cdc")
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
// decides sterility it holds the pack or the load.
//
// # Reading
//
// [Decode] and [Records] are strict and bounded: 8 MiB a record, 32 levels, 4096
// bytes a string, 18 digits a number. An error says that something could not be
// read; what is wrong with a load is a finding.
//
// # Concurrency
//
// Policies never change and reports belong to their caller; every function may be
// called from many goroutines.
package load
