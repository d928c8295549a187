// Package water tells whether water may be fed to a steam sterilizer or used to
// rinse what goes into it, by which document, and what it would do otherwise.
//
// A [Sample] is what was measured, with what is needed to know how far a figure
// carries: the temperature that a conductivity refers to, the species that a
// concentration is expressed as, the smallest step that a test can show. [Limits]
// are those of one edition of one document; [LimitsFor] has the published ones and
// [ParseLimits] reads a facility's own. [Check] holds one against the other.
//
// A reading is met or broken only if it is so whatever was left unrecorded. A meter
// that does not say whether it shows 20 °C or 25 °C is never taken to show 25 °C; a
// test that steps by 1 °dH can not show 0.02 mmol/L; neither is a pass.
//
// Most published limits for steam are suggestions of an informative annex, and the
// sterilizer maker's instructions come before them. So a limit that is broken here
// is a caution, without effect on the release of a load.
package water
