// Package water tells whether water may be fed to a steam sterilizer or used to
// rinse what goes into it, by which document, and what it would do otherwise.
//
// A [Sample] is what was measured, with what is needed to know how far a figure
// carries: the temperature that a conductivity refers to, the species that a
// concentration is expressed as, the smallest step that a test can show. A [Reservoir]
// is the upkeep of the sterilizer's own tank. [Use] puts both beside the cycle that the
// water served. [Limits] are those of one edition of one document: [LimitNames] lists
// the published ones, [LimitsFor] takes one, and [ParseLimits] reads a facility's own.
// [Check] holds a use against limits; [Hints] names likely causes of a stain.
//
// A reading is met or broken only if it is so whatever was left unrecorded. A meter
// that does not say whether it shows 20 °C or 25 °C is never taken to show 25 °C; a
// test that steps by 1 °dH cannot show 0.02 mmol/L; neither is a pass.
//
// Most published limits for steam are suggestions of an informative annex, and the
// sterilizer manufacturer's instructions come before them. So a limit that is broken here
// is a minor finding, without effect on the release of a load.
package water
