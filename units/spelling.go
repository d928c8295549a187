package units

// spellings lists how units are written every day. They are never accepted, only
// answered with the code to use; where two rows have the same spelling, the first
// whose code the wanted dimension has is meant. A spelling that could be either of
// two units of one dimension, such as gal, is not here.
var spellings = [...]struct{ written, code string }{
	{"lb", "[lb_av]"}, {"lbs", "[lb_av]"}, {"LB", "[lb_av]"}, {"#", "[lb_av]"}, {"pound", "[lb_av]"}, {"pounds", "[lb_av]"},
	{"oz", "[oz_av]"}, {"ounce", "[oz_av]"}, {"ounces", "[oz_av]"},
	{"grain", "[gr]"}, {"grains", "[gr]"},
	{"st", "[stone_av]"}, {"stone", "[stone_av]"},
	{"ozt", "[oz_tr]"}, {"oz t", "[oz_tr]"},
	{"kgs", "kg"}, {"KG", "kg"}, {"Kg", "kg"}, {"kilo", "kg"},
	{"gm", "g"}, {"gram", "g"}, {"grams", "g"},

	{"in", "[in_i]"}, {"inch", "[in_i]"}, {"inches", "[in_i]"}, {"\"", "[in_i]"}, {"″", "[in_i]"},
	{"ft", "[ft_i]"}, {"feet", "[ft_i]"}, {"foot", "[ft_i]"}, {"'", "[ft_i]"},
	{"yd", "[yd_i]"}, {"yard", "[yd_i]"}, {"mil", "[mil_i]"}, {"thou", "[mil_i]"},
	{"µm", "um"}, {"μm", "um"}, {"micron", "um"}, {"MM", "mm"}, {"CM", "cm"},
	{"m²", "m2"}, {"cm²", "cm2"}, {"mm²", "mm2"}, {"in2", "[in_i]2"}, {"in²", "[in_i]2"}, {"sq in", "[in_i]2"},
	{"[sin_i]", "[in_i]2"}, {"ft2", "[ft_i]2"}, {"ft²", "[ft_i]2"}, {"sq ft", "[ft_i]2"}, {"[sft_i]", "[ft_i]2"},

	{"l", "L"}, {"litre", "L"}, {"liter", "L"}, {"litres", "L"}, {"liters", "L"}, {"dm3", "L"}, {"dm³", "L"},
	{"ml", "mL"}, {"ML", "mL"}, {"cc", "cm3"}, {"cm³", "cm3"}, {"m³", "m3"},
	{"in3", "[in_i]3"}, {"in³", "[in_i]3"}, {"[cin_i]", "[in_i]3"},
	{"ft3", "[ft_i]3"}, {"ft³", "[ft_i]3"}, {"cu ft", "[ft_i]3"}, {"[cft_i]", "[ft_i]3"},

	{"°C", "Cel"}, {"degC", "Cel"}, {"C", "Cel"}, {"celsius", "Cel"}, {"Celsius", "Cel"}, {"ºC", "Cel"}, {"℃", "Cel"},
	{"°F", "[degF]"}, {"degF", "[degF]"}, {"F", "[degF]"}, {"fahrenheit", "[degF]"}, {"Fahrenheit", "[degF]"}, {"ºF", "[degF]"}, {"℉", "[degF]"},
	// A difference in degrees; in the dimension temperature the rows above win.
	{"°C", "K"}, {"degC", "K"}, {"C", "K"}, {"celsius", "K"}, {"Celsius", "K"}, {"ºC", "K"}, {"℃", "K"}, {"Cel", "K"},
	{"°F", "5.K/9"}, {"degF", "5.K/9"}, {"F", "5.K/9"}, {"fahrenheit", "5.K/9"}, {"Fahrenheit", "5.K/9"}, {"ºF", "5.K/9"}, {"℉", "5.K/9"}, {"[degF]", "5.K/9"},

	{"psi", "[psi]"}, {"PSI", "[psi]"}, {"lb/in2", "[psi]"}, {"lbf/in2", "[psi]"},
	{"psig", "[psi]"}, {"psia", "[psi]"}, {"psi(g)", "[psi]"}, {"psi(a)", "[psi]"}, {"[psig]", "[psi]"}, {"[psia]", "[psi]"},
	{"kPag", "kPa"}, {"kPa(g)", "kPa"}, {"kPag.", "kPa"}, {"kPaA", "kPa"}, {"kPa{gauge}", "kPa"}, {"kPa{abs}", "kPa"}, {"KPa", "kPa"}, {"kpa", "kPa"}, {"KPA", "kPa"},
	{"barg", "bar"}, {"bara", "bar"}, {"Bar", "bar"}, {"BAR", "bar"}, {"bar(g)", "bar"}, {"bar(a)", "bar"},
	{"Mpa", "MPa"}, {"mb", "mbar"}, {"mBar", "mbar"}, {"hpa", "hPa"},
	{"at", "att"}, {"kgf/cm2", "att"}, {"kg/cm2", "att"}, {"kgf/cm²", "att"}, {"kg/cm²", "att"},
	{"mmHg", "mm[Hg]"}, {"mm Hg", "mm[Hg]"}, {"inHg", "[in_i'Hg]"}, {"in Hg", "[in_i'Hg]"}, {"\"Hg", "[in_i'Hg]"}, {"[in_i]Hg", "[in_i'Hg]"},
	{"inH2O", "[in_i'H2O]"}, {"in H2O", "[in_i'H2O]"}, {"\"H2O", "[in_i'H2O]"},
	{"psi/min", "[psi]/min"}, {"mmHg/min", "mm[Hg]/min"}, {"inHg/min", "[in_i'Hg]/min"},

	{"sec", "s"}, {"secs", "s"}, {"seconds", "s"}, {"S", "s"},
	{"mins", "min"}, {"minute", "min"}, {"minutes", "min"}, {"m", "min"},
	{"hr", "h"}, {"hrs", "h"}, {"hour", "h"}, {"hours", "h"},
	{"day", "d"}, {"days", "d"},
	{"percent", "%"}, {"pct", "%"}, {"ppm", "[ppm]"},

	{"kg/m³", "kg/m3"}, {"g/cm³", "g/cm3"}, {"g/mL", "g/cm3"}, {"g/cc", "g/cm3"}, {"kg/l", "kg/L"}, {"lb/ft3", "[lb_av]/[ft_i]3"}, {"lb/ft³", "[lb_av]/[ft_i]3"}, {"pcf", "[lb_av]/[ft_i]3"},
	{"N/15mm", "N/(15.mm)"}, {"N/15 mm", "N/(15.mm)"}, {"N/25mm", "N/(25.mm)"}, {"N/25 mm", "N/(25.mm)"}, {"lbf/in", "[lbf_av]/[in_i]"}, {"lb/in", "[lbf_av]/[in_i]"},

	{"µS/cm", "uS/cm"}, {"μS/cm", "uS/cm"}, {"uS", "uS/cm"}, {"us/cm", "uS/cm"}, {"µS", "uS/cm"}, {"μS", "uS/cm"},
	{"umho/cm", "uS/cm"}, {"µmho/cm", "uS/cm"}, {"μmho/cm", "uS/cm"}, {"ms/m", "mS/m"}, {"ms/cm", "mS/cm"},
	{"MΩ·cm", "MOhm.cm"}, {"MΩcm", "MOhm.cm"}, {"MΩ.cm", "MOhm.cm"}, {"MΩ-cm", "MOhm.cm"}, {"Mohm.cm", "MOhm.cm"}, {"Mohm-cm", "MOhm.cm"}, {"Mohm cm", "MOhm.cm"}, {"MOhm-cm", "MOhm.cm"}, {"MOhm·cm", "MOhm.cm"}, {"megohm-cm", "MOhm.cm"},
	{"kΩ·cm", "kOhm.cm"}, {"kohm-cm", "kOhm.cm"}, {"kOhm-cm", "kOhm.cm"}, {"Ω·m", "Ohm.m"}, {"ohm-m", "Ohm.m"},

	{"mg/l", "mg/L"}, {"g/m3", "mg/L"}, {"ug/l", "ug/L"}, {"µg/L", "ug/L"}, {"μg/L", "ug/L"}, {"µg/l", "ug/L"}, {"μg/l", "ug/L"}, {"g/l", "g/L"},
	{"mmol/l", "mmol/L"}, {"mM", "mmol/L"},
	{"ppm", "mg/L{CaCO3}"}, {"mg/L", "mg/L{CaCO3}"}, {"mg/l", "mg/L{CaCO3}"}, {"mg/L CaCO3", "mg/L{CaCO3}"}, {"mg/L{caco3}", "mg/L{CaCO3}"}, {"[ppm]", "mg/L{CaCO3}"},
	{"gpg", "[gr]/[gal_us]{CaCO3}"}, {"GPG", "[gr]/[gal_us]{CaCO3}"}, {"gr/gal", "[gr]/[gal_us]{CaCO3}"},
	{"°dH", "10.mg/L{CaO}"}, {"ºdH", "10.mg/L{CaO}"}, {"°d", "10.mg/L{CaO}"}, {"dH", "10.mg/L{CaO}"}, {"[dH]", "10.mg/L{CaO}"}, {"DH", "10.mg/L{CaO}"},
	{"°fH", "10.mg/L{CaCO3}"}, {"ºfH", "10.mg/L{CaCO3}"}, {"°f", "10.mg/L{CaCO3}"}, {"fH", "10.mg/L{CaCO3}"}, {"[fH]", "10.mg/L{CaCO3}"}, {"°TH", "10.mg/L{CaCO3}"},
	{"°e", "[gr]/[gal_br]{CaCO3}"}, {"ºe", "[gr]/[gal_br]{CaCO3}"}, {"°Clark", "[gr]/[gal_br]{CaCO3}"}, {"Clark", "[gr]/[gal_br]{CaCO3}"}, {"eH", "[gr]/[gal_br]{CaCO3}"},

	{"CFU/mL", "[CFU]/mL"}, {"cfu/mL", "[CFU]/mL"}, {"CFU/ml", "[CFU]/mL"}, {"cfu/ml", "[CFU]/mL"}, {"{CFU}/mL", "[CFU]/mL"}, {"[cfu]/mL", "[CFU]/mL"},
	{"CFU/100 mL", "[CFU]/dL"}, {"cfu/100 mL", "[CFU]/dL"}, {"CFU/100mL", "[CFU]/dL"}, {"cfu/100ml", "[CFU]/dL"}, {"cfu/100 ml", "[CFU]/dL"}, {"[CFU]/(100.mL)", "[CFU]/dL"},
	{"CFU/L", "[CFU]/L"}, {"cfu/L", "[CFU]/L"},
	{"EU/mL", "{EU}/mL"}, {"EU/ml", "{EU}/mL"}, {"[EU]/mL", "{EU}/mL"}, {"eu/mL", "{EU}/mL"},
	{"EU/L", "{EU}/L"}, {"[EU]/L", "{EU}/L"},
	{"pH", "[pH]"}, {"ph", "[pH]"}, {"PH", "[pH]"}, {"1", "[pH]"},
	{"NTU", "[NTU]"}, {"ntu", "[NTU]"}, {"FNU", "[FNU]"}, {"fnu", "[FNU]"},
}
