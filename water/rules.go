package water

import (
	"slices"
	"strings"

	"example.com/moistheat"
)

// Documents that rules cite. The source of a limit comes from its row instead.
const (
	dentalJournal = "Martin and Dailey, British Dental Journal 2001;191:620-624"
	dentalComment = "Comment by Bagg on Martin and Dailey, British Dental Journal 2001;191"
	htm0105       = "HTM 01-05"
)

var (
	limitSources = []moistheat.Source{
		{Document: "EN 13060", Edition: "2009", Locator: "Annex C, Table C.1, informative", Basis: moistheat.Quoted},
		{Document: "EN 285", Locator: "Annex B, Table B.1, informative", Basis: moistheat.Quoted},
	}
	aamiSources = []moistheat.Source{
		{Document: "AAMI TIR34", Edition: "2014", Locator: "categories of water", Basis: moistheat.Quoted},
	}
	practice = []moistheat.Source{{Document: "Common practice in water testing", Basis: moistheat.CommonPractice}}
	sampling = []moistheat.Source{{Document: "Water-sampling procedures", Locator: "samples for germs", Basis: moistheat.Quoted}}
)

const (
	sourceWater = "Use water that meets the limits, and find out why the treatment let this through: exhausted cartridge, worn membrane, dirty tank."
	since       = "0.1.0"
)

// limitRules has the rule for each determinand.
var limitRules = [...]moistheat.Rule{
	Conductivity: {
		ID: "water.conductivity.over", Title: "The water conducts no better than the limit allows.",
		Why:      "Conductivity shows dissolved salts; they stay in the chamber and on instruments as scale, spots and rust.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: limitSources, Since: since,
		Says: "The conductivity is {measured}; {document} wants {relation} {limit}.",
		Asks: "The conductivity can not be judged by {document}: {reason}.",
	},
	Resistivity: {
		ID: "water.resistivity.under", Title: "The water resists current at least as well as the limit asks.",
		Why:      "Low resistivity shows dissolved salts; they stay in the chamber and on instruments as scale, spots and rust.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Since: since,
		Sources: []moistheat.Source{{Document: "AAMI TIR34", Edition: "2007", Locator: "categories of water", Basis: moistheat.Quoted}},
		Says:    "The resistivity or conductivity is {measured}; {document} wants a resistivity {relation} {limit}.",
		Asks:    "The resistivity can not be judged by {document}: {reason}.",
	},
	PH: {
		ID: "water.ph.outside", Title: "The water is neither too acid nor too alkaline.",
		Why:      "Acid or alkaline water attacks instruments, seals and the chamber and leaves stains.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: limitSources, Since: since,
		Says: "The water has {measured}; {document} wants {relation} {limit}.",
		Asks: "The pH can not be judged by {document}: {reason}.",
	},
	Hardness: {
		ID: "water.hardness.over", Title: "The water is as good as free of calcium and magnesium.",
		Why:      "Calcium and magnesium leave scale on heaters and white-grey films on instruments.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: limitSources, Since: since,
		Says: "The hardness is {measured}; {document} wants {relation} {limit}.",
		Asks: "The hardness can not be judged by {document}: {reason}.",
	},
	Residue: {
		ID: "water.residue.over", Title: "Little stays behind when the water is evaporated.",
		Why:      "What stays behind stays in the chamber and on what is sterilized.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: limitSources, Since: since,
		Says: "The residue is {measured}; {document} wants {relation} {limit}.",
		Asks: "The residue can not be judged by {document}: {reason}.",
	},
	DissolvedSolids: {
		ID: "water.solids.over", Title: "Little is dissolved in the water.",
		Why:      "What is dissolved stays on instruments as spots when they dry.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Since: since,
		Sources: []moistheat.Source{{Document: "AS/NZS 4187", Edition: "2014", Locator: "final rinse", Basis: moistheat.Quoted}},
		Says:    "The dissolved solids are {measured}; {document} wants {relation} {limit}.",
		Asks:    "The dissolved solids can not be judged by {document}: {reason}.",
	},
	Silicate: {
		ID: "water.silicate.over", Title: "The water is as good as free of silica.",
		Why:      "Silica leaves yellow-brown to blue-violet stains. They do no harm but hide what does.",
		Do:       "Replace the ion exchanger or the membrane in time: silica comes through before the conductivity shows it.",
		Severity: moistheat.Caution, Sources: limitSources, Since: since,
		Says: "The silicate is {measured}; {document} wants {relation} {limit}.",
		Asks: "The silicate can not be judged by {document}: {reason}.",
	},
	Phosphate: {
		ID: "water.phosphate.over", Title: "The water is as good as free of phosphate.",
		Why:      "Phosphate leaves stains and films; it comes from detergents or water treatment.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: limitSources, Since: since,
		Says: "The phosphate is {measured}; {document} wants {relation} {limit}.",
		Asks: "The phosphate can not be judged by {document}: {reason}.",
	},
	Chloride: {
		ID: "water.chloride.over", Title: "The water is as good as free of chloride.",
		Why:      "Chloride eats pits into stainless steel, instruments and chamber alike.",
		Do:       "Do not use this water for steam. Softening does not take chloride out; distillation, reverse osmosis and ion exchange do.",
		Severity: moistheat.Caution, Sources: limitSources, Since: since,
		Says: "The chloride is {measured}; {document} wants {relation} {limit}.",
		Asks: "The chloride can not be judged by {document}: {reason}.",
	},
	Iron: {
		ID: "water.iron.over", Title: "The water is as good as free of iron.",
		Why:      "Iron settles on instruments as rust film and starts rust there.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: limitSources, Since: since,
		Says: "The iron is {measured}; {document} wants {relation} {limit}.",
		Asks: "The iron can not be judged by {document}: {reason}.",
	},
	Cadmium: {
		ID: "water.cadmium.over", Title: "The water is as good as free of cadmium.",
		Why:      "Cadmium is toxic, and steam carries it onto instruments.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: limitSources, Since: since,
		Says: "The cadmium is {measured}; {document} wants {relation} {limit}.",
		Asks: "The cadmium can not be judged by {document}: {reason}.",
	},
	Lead: {
		ID: "water.lead.over", Title: "The water is as good as free of lead.",
		Why:      "Lead is toxic, and steam carries it onto instruments.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: limitSources, Since: since,
		Says: "The lead is {measured}; {document} wants {relation} {limit}.",
		Asks: "The lead can not be judged by {document}: {reason}.",
	},
	HeavyMetals: {
		ID: "water.metals.over", Title: "The water is as good as free of other heavy metals.",
		Why:      "Heavy metals are toxic or discolour instruments.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: limitSources, Since: since,
		Says: "The heavy metals are {measured}; {document} wants {relation} {limit}.",
		Asks: "The heavy metals can not be judged by {document}: {reason}.",
	},
	Copper: {
		ID: "water.copper.over", Title: "The water is as good as free of copper.",
		Why:      "Copper settles on instruments and starts rust there.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: aamiSources, Since: since,
		Says: "The copper is {measured}; {document} wants {relation} {limit}.",
		Asks: "The copper can not be judged by {document}: {reason}.",
	},
	Manganese: {
		ID: "water.manganese.over", Title: "The water is as good as free of manganese.",
		Why:      "Manganese leaves dark stains.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: aamiSources, Since: since,
		Says: "The manganese is {measured}; {document} wants {relation} {limit}.",
		Asks: "The manganese can not be judged by {document}: {reason}.",
	},
	Zinc: {
		ID: "water.zinc.over", Title: "The water is as good as free of zinc.",
		Why:      "Zinc leaves films on instruments.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: st108Sources, Since: since,
		Says: "The zinc is {measured}; {document} wants {relation} {limit}.",
		Asks: "The zinc can not be judged by {document}: {reason}.",
	},
	Aluminium: {
		ID: "water.aluminium.over", Title: "The water is as good as free of aluminium.",
		Why:      "Aluminium leaves films on instruments.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: st108Sources, Since: since,
		Says: "The aluminium is {measured}; {document} wants {relation} {limit}.",
		Asks: "The aluminium can not be judged by {document}: {reason}.",
	},
	Ammonium: {
		ID: "water.ammonium.over", Title: "The water is as good as free of ammonium.",
		Why:      "Ammonia stains instruments and attacks copper and brass.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Since: since,
		Sources: []moistheat.Source{{Document: "HTM 2031", Edition: "1997", Locator: "condensate", Basis: moistheat.Quoted}},
		Says:    "The ammonium is {measured}; {document} wants {relation} {limit}.",
		Asks:    "The ammonium can not be judged by {document}: {reason}.",
	},
	Nitrate: {
		ID: "water.nitrate.over", Title: "The water is as good as free of nitrate.",
		Why:      "Nitrate shows that the treatment lets dissolved salts through.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Since: since,
		Sources: []moistheat.Source{{Document: "HTM 2031", Edition: "1997", Locator: "condensate", Basis: moistheat.Quoted}},
		Says:    "The nitrate is {measured}; {document} wants {relation} {limit}.",
		Asks:    "The nitrate can not be judged by {document}: {reason}.",
	},
	Sulphate: {
		ID: "water.sulphate.over", Title: "The water is as good as free of sulphate.",
		Why:      "Sulphate builds scale with calcium.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: st108Sources, Since: since,
		Says: "The sulphate is {measured}; {document} wants {relation} {limit}.",
		Asks: "The sulphate can not be judged by {document}: {reason}.",
	},
	Alkalinity: {
		ID: "water.alkalinity.over", Title: "The water holds little carbonate.",
		Why:      "Carbonate gives off gas in the boiler; the gas takes the place of steam and makes the condensate acid.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: st108Sources, Since: since,
		Says: "The alkalinity is {measured}; {document} wants {relation} {limit}.",
		Asks: "The alkalinity can not be judged by {document}: {reason}.",
	},
	OrganicCarbon: {
		ID: "water.carbon.over", Title: "The water is as good as free of organic matter.",
		Why:      "Organic matter feeds germs and leaves films.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Sources: aamiSources, Since: since,
		Says: "The organic carbon is {measured}; {document} wants {relation} {limit}.",
		Asks: "The organic carbon can not be judged by {document}: {reason}.",
	},
	Bacteria: {
		ID: "water.bacteria.over", Title: "The water holds few living germs.",
		Why:      "Germs in the water leave endotoxin, which steam does not destroy, and foul tank and pipes.",
		Do:       "Drain, clean and dry the tank, refill it with fresh water and test again; look for standing water in the treatment.",
		Severity: moistheat.Caution, Sources: aamiSources, Since: since,
		Says: "The germ count is {measured}; {document} wants {relation} {limit}.",
		Asks: "The germ count can not be judged by {document}: {reason}.",
	},
	Endotoxin: {
		ID: "water.endotoxin.over", Title: "The water holds little endotoxin.",
		Why:      "Endotoxin, left by dead germs, survives sterilization and can cause fever and inflammation.",
		Do:       "Drain, clean and dry the tank, refill it with fresh water and test again; look for standing water in the treatment.",
		Severity: moistheat.Caution, Sources: aamiSources, Since: since,
		Says: "The endotoxin is {measured}; {document} wants {relation} {limit}.",
		Asks: "The endotoxin can not be judged by {document}: {reason}.",
	},
	Turbidity: {
		ID: "water.turbidity.over", Title: "The water is clear by measurement.",
		Why:      "Cloudy water carries matter that settles on instruments.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Since: since,
		Sources: practice,
		Says:    "The turbidity is {measured}; {document} wants {relation} {limit}.",
		Asks:    "The turbidity can not be judged by {document}: {reason}.",
	},
	Appearance: {
		ID: "water.appearance.unclear", Title: "The water is clear and colourless, and nothing settles in it.",
		Why:      "What can be seen in the water ends up on instruments.",
		Do:       sourceWater,
		Severity: moistheat.Caution, Since: since,
		Sources: []moistheat.Source{{Document: "EN 13060", Locator: "Annex C, Table C.1, in its identical Russian adoption", Basis: moistheat.Published}},
		Says:    "The water is not clear and colourless; {document} wants it so.",
		Asks:    "The look of the water can not be judged by {document}: {reason}.",
	},
}

var st108Sources = []moistheat.Source{
	{Document: "ANSI/AAMI ST108", Edition: "2023", Locator: "limits", Basis: moistheat.Recalled},
}

var unitSlip = moistheat.Rule{
	ID: "water.unit.slip", Title: "The unit fits the figure.",
	Why:      "Printed tables and reports get units of water wrong by factors of 100 and 1000: mS for µS, per 100 mL for per mL.",
	Do:       "Look at the meter or the report again and correct the unit.",
	Severity: moistheat.Caution, Since: since,
	Sources: []moistheat.Source{{Document: "AAMI TIR34", Edition: "2014", Locator: "as reprinted, with mS/cm for µS/cm", Basis: moistheat.Quoted}},
	Says:    "{measured} is hardly possible in such water; {probable} was probably meant.",
	Asks:    "{measured} and the same digits in the unit of the limit, {probable}, give different verdicts; make sure of the unit.",
}

var kindUnfit = moistheat.Rule{
	ID: "water.kind.unfit", Title: "The sterilizer is fed with distilled, deionised, reverse-osmosis or sterile water.",
	Why:      "Tap and softened water leave scale, chloride and salts: pits, stains, foam and a ruined chamber.",
	Do:       "Drain the tank, clean it and refill it with the water that the sterilizer's maker names.",
	Severity: moistheat.Caution, Since: since,
	Sources: []moistheat.Source{
		{Document: dentalComment, Locator: "harm by tap water", Basis: moistheat.Published},
		{Document: htm0105, Edition: "2013", Locator: "sections 4 and 16", Basis: moistheat.Recalled},
		{Document: "Common practice in water treatment", Locator: "softened water is not for steam", Basis: moistheat.CommonPractice},
	},
	Says: "The water is {kind}; it is not fit to make steam from.",
	Asks: "The treatment of the water is not recorded, or it is one whose fitness is not known here; ask the sterilizer's maker.",
}

var sampleOld = moistheat.Rule{
	ID: "water.sample.old", Title: "The water was tested recently enough.",
	Why:      "Cartridges and membranes fail without notice; an old test says nothing about today's water.",
	Do:       "Test the water again.",
	Severity: moistheat.Caution, Since: since,
	Sources: []moistheat.Source{{Document: "ANSI/AAMI ST108", Edition: "2023", Locator: "monitoring, as summarised", Basis: moistheat.Quoted}},
	Says:    "The sample is {measured} old; {document} wants one {relation} {limit} old for {determinands}.",
	Asks:    "The age of the sample can not be judged: {reason}.",
}

var meterUnchecked = moistheat.Rule{
	ID: "water.meter.unchecked", Title: "The meter was checked before it was trusted.",
	Why:      "A meter that has drifted shows good water where there is none.",
	Do:       "Check the meter against a standard, record the date, and measure again.",
	Severity: moistheat.Note, Since: since, Sources: practice,
	Says: "The last recorded check of the meter is later than the sample.",
	Asks: "It is not recorded when the meter was last checked.",
}

var sampleBottle = moistheat.Rule{
	ID: "water.sample.bottle", Title: "The bottle does not change what is measured.",
	Why:      "Glass gives off silica; a bottle that was not freed of endotoxin adds its own.",
	Do:       "Take a new sample: plastic for silica, glass freed of endotoxin for endotoxin.",
	Severity: moistheat.Note, Since: since,
	Sources: []moistheat.Source{
		{Document: "Water-sampling procedures", Locator: "endotoxin", Basis: moistheat.Quoted},
		{Document: "Water-sampling procedures", Locator: "silica", Basis: moistheat.Recalled},
	},
	Says: "The sample for {determinands} was taken in {bottle}.",
	Asks: "It is not recorded what the sample for {determinands} was taken in.",
}

var sampleRinsed = moistheat.Rule{
	ID: "water.sample.rinsed", Title: "A bottle for living germs was not rinsed; any other bottle was.",
	Why:      "Rinsing washes out what neutralises chlorine and brings in germs; without it salts from the bottle are measured.",
	Do:       "Take a new sample: do not rinse the bottle for germs; rinse one for chemistry three times with the water itself.",
	Severity: moistheat.Note, Since: since, Sources: sampling,
	Says: "The bottle was {how}.",
	Asks: "It is not recorded whether the bottle was rinsed, or one bottle is recorded for germs and chemistry.",
}

var sampleAir = moistheat.Rule{
	ID: "water.sample.air", Title: "Very pure water was kept from the air until it was measured.",
	Why:      "Carbon dioxide from the air raises the conductivity of pure water, for example from 0.2 to 0.8 µS/cm.",
	Do:       "Measure in the line, or fill the bottle to the brim and measure at once.",
	Severity: moistheat.Note, Since: since,
	Sources: []moistheat.Source{{Document: "A manufacturing-practice news note on pure steam", Basis: moistheat.Quoted}},
	Says:    "The bottle was not full; air may have raised the conductivity.",
	Asks:    "It is not recorded whether the bottle was full; air may have raised the conductivity.",
}

var sampleFlushed = moistheat.Rule{
	ID: "water.sample.flushed", Title: "The tap or steam line ran before the sample was taken.",
	Why:      "What stood in the last metre of pipe is not the water that is used.",
	Do:       "Let a tap run for a minute, or steam flow for a minute, and take a new sample.",
	Severity: moistheat.Note, Since: since, Sources: sampling,
	Says: "The sample was taken from a line that had not run.",
	Asks: "It is not recorded whether the line ran before the sample was taken.",
}

var sampleLate = moistheat.Rule{
	ID: "water.sample.late", Title: "The test for living germs began in time.",
	Why:      "Germs multiply or die in the bottle.",
	Do:       "Take a new sample and start the test within 2 hours, or keep it at 2 to 8 °C and start within a day.",
	Severity: moistheat.Note, Since: since, Sources: sampling,
	Says: "The test began {measured} after sampling; {limit} is the longest allowed for how the sample was kept.",
	Asks: "It is not recorded when the test for germs began and whether the sample was kept cold.",
}

var reservoirStale = moistheat.Rule{
	ID: "water.reservoir.stale", Title: "The tank was drained after the last day of use and filled afresh on this one.",
	Why:      "Germs multiply in standing water to tens of thousands in a millilitre and leave endotoxin, which steam carries onto instruments.",
	Do:       "Drain, clean and dry the tank at the end of each day of use; fill it afresh before the next.",
	Severity: moistheat.Caution, Since: since,
	Sources: []moistheat.Source{
		{Document: dentalJournal, Locator: "counts before and after daily cleaning", Basis: moistheat.Published},
		{Document: "BDA advice sheet A12", Locator: "as given in the comment by Bagg", Basis: moistheat.Quoted},
		{Document: htm0105, Edition: "2013", Locator: "sections 4 and 16", Basis: moistheat.Recalled},
	},
	Says: "The water in the tank is not of this day: {reason}.",
	Asks: "It can not be told whether the water in the tank is of this day: {reason}.",
}

var reservoirUncleaned = moistheat.Rule{
	ID: "water.reservoir.uncleaned", Title: "The tank was cleaned when it was drained.",
	Why:      "The film on the wall of the tank seeds the fresh water.",
	Do:       "Clean and dry the tank each time it is drained.",
	Severity: moistheat.Caution, Since: since,
	Sources: []moistheat.Source{{Document: "BDA advice sheet A12", Locator: "as given in the comment by Bagg", Basis: moistheat.Quoted}},
	Says:    "The tank was drained but not cleaned.",
	Asks:    "It is not recorded whether the tank was cleaned.",
}

var reservoirToppedUp = moistheat.Rule{
	ID: "water.reservoir.toppedup", Title: "Fresh water was not added to old.",
	Why:      "Old water seeds the fresh with germs, and salts build up.",
	Do:       "Drain the tank first, then fill it.",
	Severity: moistheat.Caution, Since: since,
	Sources: []moistheat.Source{{Document: htm0105, Edition: "2013", Locator: "sections 4 and 16", Basis: moistheat.Recalled}},
	Says:    "The tank was topped up instead of being drained and refilled.",
	Asks:    "It is not recorded whether the tank was topped up.",
}

var reservoirOvernight = moistheat.Rule{
	ID: "water.reservoir.overnight", Title: "The tank was left clean, dry and empty overnight.",
	Why:      "Germs need water and hours; a dry night gives them neither.",
	Do:       "At the end of the day drain, clean and dry the tank, and leave it empty and open.",
	Severity: moistheat.Caution, Since: since,
	Sources: []moistheat.Source{{Document: htm0105, Edition: "2013", Locator: "sections 4 and 16", Basis: moistheat.Recalled}},
	Says:    "Water stood in the tank overnight.",
	Asks:    "It is not recorded how the tank was left overnight.",
}

var otherRules = [...]*moistheat.Rule{
	&unitSlip, &kindUnfit, &sampleOld, &meterUnchecked, &sampleBottle, &sampleRinsed, &sampleAir, &sampleFlushed,
	&sampleLate, &reservoirStale, &reservoirUncleaned, &reservoirToppedUp, &reservoirOvernight,
}

// Rules returns every rule of this package, sorted by ID.
func Rules() []moistheat.Rule {
	rules := slices.Clone(limitRules[Conductivity:])
	for _, r := range otherRules {
		rules = append(rules, *r)
	}
	for i := range rules {
		rules[i].Sources = slices.Clone(rules[i].Sources)
	}
	slices.SortFunc(rules, func(a, b moistheat.Rule) int { return strings.Compare(a.ID, b.ID) })
	return rules
}
