// Package units holds measured and limiting values so that they cannot be mixed up
// and are compared exactly.
//
// A [Quantity] is a decimal number, kept with the digits it was written with, and a
// unit. There is one Go type for each dimension, so a mass compared with a length
// does not compile. Absolute and gauge pressure are different dimensions, and so are
// a temperature and a temperature difference: 3 °C warmer is 5.4 °F warmer, not
// 37.4. A [Value] is a quantity whose dimension is known only when the program runs;
// a [SpeciesConcentration] is a mass concentration with the chemical species that it
// is expressed as. They are 16 bytes (24 with a species) and comparable, and their
// zero value is invalid, so that nothing can be taken for 0 that was not recorded.
//
//	q, err := units.Parse[units.TemperatureUnit]("273 [degF]")
//	hot := q.Compare(units.MustParse[units.TemperatureUnit]("134 Cel")) >= 0 // false: 133.89 °C
//
// # Equality
//
// == asks for the same digits of the same unit: it tells 1.5 kg from 1.50 kg and
// from 1500 g, as a reader of the record would. [Quantity.Compare] asks for the same
// size: all three are equal to it. Use quantities as map keys only where the first is
// meant.
//
// # Exactness
//
// Units are defined by exact fractions, so that comparing and converting there and
// back lose nothing. Compare multiplies out and never uses a rounded quotient:
// 121 Cel is below 250 [degF], whatever a table prints side by side. A result that is
// not a finite decimal is rounded only where a method says so, once, from the exact
// value: ties to even with [TiesToEven], and inwards for limits, so that a converted
// limit is never looser ([Down] for an upper limit, [Up] for a lower one). Do not
// round what was rounded: 1.347 to one decimal is 1.3, by way of 1.35 it would be 1.4.
// [Quantity.Rounded] chooses the digits for showing a converted reading.
//
// Physics is done in float64 with the unit in the variable's name
// ([Quantity.Float64]); what it gives is rounded to a stated number of decimals
// ([FromFloat64]) before it meets a limit.
//
// # Codes
//
// Units are written with UCUM codes, one for each unit, compared exactly. Everyday
// spellings such as psi, °C, lb, µS/cm or gpg are refused with the code to use
// ([UnitError]). Where UCUM has no unit, the code is a UCUM expression that says the
// definition, so that no other reader can take it for another unit:
//
//   - degrees of hardness: German °dH is 10.mg/L{CaO}, French °fH is
//     10.mg/L{CaCO3}, English °e is [gr]/[gal_br]{CaCO3}; grains per US gallon
//     are [gr]/[gal_us]{CaCO3};
//   - endotoxin units: {EU}/mL, since UCUM's [EU] is the Ehrlich unit;
//   - a difference of one degree Fahrenheit: 5.K/9, and of one degree Celsius: K.
//
// The inch and millimetre of mercury are those of UCUM (133.322 Pa for 1 mm), which
// differ in the sixth digit from the conventional ones.
//
// # JSON and text
//
// JSON is {"value":4.082,"unit":"kg"}, text is "4.082 kg", with the word absolute or
// gauge after a pressure. Digits are kept, 1.50 stays 1.50. Refused are null, numbers
// in quotes, other members or letter case, duplicate members, more than 18 digits and
// exponents beyond 18: what cannot be read exactly is an error, never a guess, and
// costs no more than its own length.
//
// # Chemistry
//
// 1 mg/L phosphate as P2O5 and 1 mg/L as PO4 are different amounts.
// [SpeciesConcentration.Compare] refuses to order them; [AtomicWeights.Compare] does,
// through an edition of the atomic weights that the caller names. [Hardness] has its
// edition fixed, see [HardnessWeights].
//
// # What the types cannot catch
//
//   - A number written with the wrong unit of the right dimension: 8 mS/cm for
//     8 µS/cm. It is a thousand times too large and quite valid.
//   - What a ratio is a ratio of, and of which of two things a concentration is: mg/L
//     of iron and of lead are one type.
//   - A concentration whose field says "silicate" and whose unit says nothing: use
//     SpeciesConcentration, which insists.
//   - The temperature a conductivity was measured at or referred to, the method behind
//     a colony count, the water a pH was taken in.
//   - A gauge reading whose zero was off. [Absolute] adds the atmosphere it is given.
//   - A "ppm" from a pocket meter, which is a conductivity times a factor of 0.5 to 0.7
//     that the meter does not print. There is no ppm among the concentrations.
//   - A duration between two clocks that disagree.
package units
