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
// Besides the hold a trace shows the phases of the cycle, its pulses and the air that
// they leave ([Profile]), what the accuracy of the sensors leaves of the hold
// ([GuardBand]), and sensors that cannot be right ([Problem]). [ReadCSV] reads a
// recorder's file by columns that the caller declares.
//
// # Checks
//
// [Check] applies the rules of this package ([Rules]) to all evidence of one cycle,
// a trace, printed readings or both.
//
// # Packages beside this one
//
//   - [example.com/moistheat/cycle/steam]: saturated steam, and the air outside;
//   - [example.com/moistheat/cycle/equipment]: the tests of the sterilizer itself, such as
//     of leakage and of air removal, by rules of their own;
//   - [example.com/moistheat/cycle/drawing]: a picture of a trace, with what was found in it;
//   - [example.com/moistheat/cycle/indicator]: what the end point of a chemical indicator
//     can show about a cycle;
//   - [example.com/moistheat/cycle/microbe]: D-values, survival and kill times, log
//     reductions.
//
// The last three are tools used on their own: no rule calls them.
//
// # What the checks find
//
// Simulated cycles of 134 °C for 3 min, recorded once a second by three thermometers
// and a pressure sensor, spoiled with one fault each. Stopped are those with a rule
// that is broken or undetermined, named those where that rule is about the fault.
// The cycles are invented: the table shows what such a trace can give away, not how
// often the faults occur.
//
//	fault                                               cycles   stopped     named
//	none                                                   667     2.8 %         -
//	air left in the load (3 to 25 %)                       667    97.0 %    96.9 %
//	no vacuum pulses                                       667   100.0 %   100.0 %
//	hold short (30 to 160 s of 180 s)                      667   100.0 %   100.0 %
//	cold place in the load during the hold                 667    99.7 %    99.7 %
//	drain sensor reads 2.5 to 5 K high                     667   100.0 %   100.0 %
//	too hot (5 to 8 K)                                     667   100.0 %   100.0 %
//	gauge pressure marked absolute                         667   100.0 %   100.0 %
//	psi marked kPa                                         667   100.0 %   100.0 %
//	°F marked °C                                           667   100.0 %   100.0 %
//	gap of 60 to 120 s in the hold                         666   100.0 %   100.0 %
//	clock steps back                                       666   100.0 %   100.0 %
//	load sensor stuck from some moment of the hold         666   100.0 %   100.0 %
//	one reading of the load sensor lost to 0 °C            666   100.0 %   100.0 %
//	recording ends during the hold                         666   100.0 %   100.0 %
//
// The good cycles that are stopped are those whose drain or reference sensor lags so
// far behind the exhaust that it seems hotter than the steam by more than 2 K before
// it leaves the sterilization temperature. The air and the cold places that pass are
// those that leave every point above it, within 2 K of the others.
package cycle
