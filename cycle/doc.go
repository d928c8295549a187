// Package cycle judges what a sterilizer did: whether the time, temperature and
// pressure on record prove the cycle that the load needed.
//
// # Tables
//
// The minimum times at temperature come from published tables, one file a document
// and edition ([Tables], [TableFor]). The documents disagree, so a caller chooses
// one; a facility's own table has the same format ([ParseTable]). A [Requirement]
// is what one row asks of one cycle.
//
// # Traces
//
// [Analyze] reads a time series and finds the hold: from the moment the last
// measuring point reaches the sterilization temperature to the moment the first one
// leaves it. It also reports what a trace shows besides: the spread between points,
// the agreement with saturated steam, the equilibration time and the lethality.
// Lethality is a report and never a reason to pass: the published pairs are not
// pairs of equal lethality.
//
// # Checks
//
// [Check] applies the rules of this package ([Rules]) to all evidence of one cycle,
// a trace, printed readings or both.
package cycle
