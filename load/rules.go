package load

import (
	"slices"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/packaging"
	"example.com/moistheat/water"
)

// Rules returns every rule that [Check] evaluates, whatever the policy, and those
// that a [History] and [CheckStored] add, sorted by ID.
func Rules() []moistheat.Rule {
	rules := recordRules()
	for _, r := range historyRules {
		rules = append(rules, *r)
	}
	return byID(rules)
}

// recordRules returns the rules that [Check] evaluates, sorted by ID.
func recordRules() []moistheat.Rule {
	rules := slices.Concat(packaging.Rules(), cycle.Rules(), water.Rules())
	for _, r := range ownRules {
		rules = append(rules, *r)
	}
	return byID(rules)
}

func byID(rules []moistheat.Rule) []moistheat.Rule {
	slices.SortFunc(rules, func(a, b moistheat.Rule) int { return strings.Compare(a.ID, b.ID) })
	return rules
}

// Rule returns the rule with this ID.
func Rule(id string) (moistheat.Rule, bool) {
	for _, r := range Rules() {
		if r.ID == id {
			return r, true
		}
	}
	return moistheat.Rule{}, false
}

var ownRules = [...]*moistheat.Rule{
	&identityIncomplete, &identityDuplicate, &contentsMissing, &preparerMissing,
	&physicalMissing, &physicalMismatch, &timeOrder, &purposeUnsuited,
	&penetrationTest, &leakTest,
	&fitUndeclared, &fitPacked, &fitNarrow, &fitWide, &fitBeyond, &fitPorous, &fitContainer, &fitInstructions, &fitNone, &pouchEnclosed,
	&sterilizerLimited, &codeContrary, &textileUnconfirmed,
	&capacityOver, &validationOver,
	&arrangementStacked, &arrangementFilm, &arrangementWall, &wallClose, &arrangementGap, &arrangementOpening,
	&arrangementDripping, &arrangementMixed, &arrangementFacing, &arrangementOverlap, &arrangementHeavy,
	&containerStacked, &drapeFlat, &rackShared, &chamberFull, &dryingShort, &patternNew, &tubingDry, &challengePlace, &purposePacked,
	&traySolid, &trayForeign, &trayBare, &trayTouching, &trayOverhang, &trayAbove, &trayGap,
	&externalUnchanged, &externalAll, &internalFailed, &internalSeveral, &challengeFailed,
	&biologicalPositive, &biologicalVoid, &biologicalPending, &biologicalEarly, &biologicalOverdue, &biologicalBare, &biologicalPartLoad,
	&implantUntested, &implantPending, &implantVoid,
	&packWet, &packDamaged, &packDropped, &packRepacked, &loadWet,
	&doorEarly, &coolingHandled, &coolingShort, &coolingInside,
	&labelMismatch,
	&releaserMissing, &releaserUnauthorised, &releaseEarly, &releaseUnread, &releaseContrary, &correctiveMissing,
	&internalFailure,
}

// internalFailure names a fault of the library itself.
var internalFailure = moistheat.Rule{
	ID: "load.internal.failure", Since: "0.1.0",
	Title:    "The library could evaluate every rule.",
	Why:      "A rule that was not evaluated may hide a fault.",
	Do:       "Judge the load by hand and report the record to the library's maintainers.",
	Says:     "The library failed while checking: {error}",
	Severity: moistheat.Fault, Broken: holdLoad, Undetermined: holdLoad, NoWaiver: true,
	Sources: []moistheat.Source{{Document: docPractice, Basis: moistheat.CommonPractice}},
}

// What rules do to a verdict, in words that recur.
var (
	holdPack   = moistheat.Effect{Pack: moistheat.Hold}
	rejectPack = moistheat.Effect{Pack: moistheat.Reject}
	holdLoad   = moistheat.Effect{Load: moistheat.Hold}
	rejectLoad = moistheat.Effect{Load: moistheat.Reject}
	rejectStop = moistheat.Effect{Load: moistheat.Reject, Sterilizer: moistheat.OutOfService}
	none       = moistheat.Effect{}
)

// Documents that rules cite.
const (
	docCDC2003  = "CDC Guidelines for Infection Control in Dental Health-Care Settings"
	docCDC2008  = "CDC Guideline for Disinfection and Sterilization in Healthcare Facilities"
	docCDCLabel = "CDC dental infection control questions and answers, packaging and storing"
	docRACGP    = "RACGP Infection Prevention and Control Guidelines"
	docWinter   = "Winter et al., handpieces in vacuum and non-vacuum cycles"
	docEN13060  = "EN 13060"
	docST79     = "ANSI/AAMI ST79"
	docPractice = "practice of the trade"
	docMakers   = "equipment makers' instructions"
	docUKDental = "UK dental article on loading"
	docOSAP     = "OSAP sterilization questions, pouches laid flat"
	docCDA      = "Canadian Dental Association, sterilization monitoring"
	docHTM0105  = "HTM 01-05"
)
