// Package microbe does the arithmetic of microbiology that steam sterilization
// rests on: how long a biological indicator must survive and by when it must be
// dead, how its D-value follows from counts, and what log reduction and assurance
// level a time is worth.
//
// The D-value is the time that kills nine of ten at one temperature. A population
// is a number of living spores on one unit, such as 1e6. Durations come out in
// minutes, rounded to 0.001 min, or for D-values to 0.00001 min.
//
// All of it is a model: lethality falls short of it below 120 °C (van Doornmalen
// and Kopinga, J Appl Microbiol 2009, published abstract). None of it can excuse a
// hold that was too short.
//
// No rule of the library calls this package: a clinic gets an indicator with its
// population and D-value stated, and no document asks it to work them out anew. It is
// a tool for who tests indicators or plans a cycle, used on its own.
package microbe

import (
	"fmt"
	"math"
	"slices"

	"example.com/moistheat/units"
)

// eulerShare is Euler's constant over ln 10, rounded as ISO 11138-1 prints it
// (GOST ISO 11138-1-2012, D.1, published): the mean of lg of the time to the death
// of the last spore is that much beyond lg of the population.
const eulerShare = 0.2507

func fail(format string, args ...any) error { return fmt.Errorf("microbe: "+format, args...) }

func minutes(x float64, places int) units.Duration { return units.FromFloat64(x, places, units.Minute) }

// positive returns a population's logarithm and a D-value in minutes.
func positive(population float64, d units.Duration) (lg, dMinutes float64, err error) {
	lg, dMinutes = math.Log10(population), d.Float64(units.Minute)
	switch {
	case !(population >= 1 && population <= 1e12):
		return 0, 0, fail("a population of %g is not within 1 and 1e12", population)
	case !(dMinutes > 0 && dMinutes <= 1e4):
		return 0, 0, fail("a D-value of %s is not within 0 and 10,000 min", d)
	}
	return lg, dMinutes, nil
}

// SurvivalKill returns the survival time and the kill time of a biological indicator:
// every unit must live after survival, every unit must be dead after kill. They are
// D (lg P − 2) and D (lg P + 4) (USP 35 monographs, published; ISO 11138-1). Some
// texts print lg(P − 2), which is a misprint.
func SurvivalKill(population float64, d units.Duration) (survival, kill units.Duration, err error) {
	lg, m, err := positive(population, d)
	if err != nil {
		return survival, kill, err
	}
	if lg <= 2 {
		return survival, kill, fail("a population of %g has no survival time; more than 100 are needed", population)
	}
	return minutes(m*(lg-2), 3), minutes(m*(lg+4), 3), nil
}

// TimeFor returns the time that reduces a population by so many powers of ten.
// Twelve are the usual overkill (quoted: WFHSS guidelines; USP <1229>-style texts).
func TimeFor(logs float64, d units.Duration) (units.Duration, error) {
	_, m, err := positive(1, d)
	if err != nil {
		return units.Duration{}, err
	}
	if !(logs >= 0 && logs <= 100) {
		return units.Duration{}, fail("%g powers of ten are not within 0 and 100", logs)
	}
	return minutes(logs*m, 3), nil
}

// LogReduction returns by how many powers of ten a time reduces a population, at
// the temperature of the D-value.
func LogReduction(t, d units.Duration) (float64, error) {
	_, m, err := positive(1, d)
	if err != nil {
		return 0, err
	}
	if !(t.Float64(units.Minute) >= 0) {
		return 0, fail("no time")
	}
	return t.Float64(units.Minute) / m, nil
}

// SurvivorsLog10 returns the decimal logarithm of the number of spores expected to
// live on one unit: lg P − t/D. −6 or less is the assurance level of one unsterile
// unit in a million.
func SurvivorsLog10(population float64, t, d units.Duration) (float64, error) {
	lg, _, err := positive(population, d)
	if err != nil {
		return 0, err
	}
	logs, err := LogReduction(t, d)
	return lg - logs, err
}

// Estimate is a D-value and how it came about.
type Estimate struct {
	Method string         `json:"method"` // such as "survivor curve"
	D      units.Duration `json:"d"`
	// Low and High are the 95 % limits; invalid where the method has none.
	Low  units.Duration `json:"low,omitzero"`
	High units.Duration `json:"high,omitzero"`
	// Mean is the mean time until no growth of Spearman and Karber.
	Mean units.Duration `json:"mean,omitzero"`
	// Lacks says what ISO 11138-1 asks for and the data do not have. With it, D is
	// an indication only.
	Lacks []string `json:"lacks,omitzero"`
}

// Exposure is one exposure of a fraction-negative test.
type Exposure struct {
	Time     units.Duration `json:"time"`
	Units    int            `json:"units"`    // exposed
	Negative int            `json:"negative"` // of them, without growth
}

// read checks exposures and returns their times in minutes.
func read(population float64, e []Exposure) (lg float64, t []float64, err error) {
	if lg = math.Log10(population); !(population > 1 && population <= 1e12) {
		return 0, nil, fail("a population of %g is not within 1 and 1e12", population)
	}
	if len(e) < 2 || len(e) > 1000 {
		return 0, nil, fail("%d exposures are not within 2 and 1000", len(e))
	}
	t = make([]float64, len(e))
	for i, x := range e {
		t[i] = x.Time.Float64(units.Minute)
		switch {
		case !(t[i] >= 0) || i > 0 && !(t[i] > t[i-1]):
			return 0, nil, fail("exposure %d: the times must be known and increase", i)
		case x.Units < 2 || x.Units > 1e6:
			return 0, nil, fail("exposure %d: %d units are not within 2 and 1e6", i, x.Units)
		case x.Negative < 0 || x.Negative > x.Units:
			return 0, nil, fail("exposure %d: %d of %d without growth", i, x.Negative, x.Units)
		}
	}
	return lg, t, nil
}

// lacks says what ISO 11138-1 asks for and the exposures do not have.
func lacks(e []Exposure) (out []string) {
	all, part, none := 0, 0, 0 // exposures by where they show growth
	for _, x := range e {
		switch x.Negative {
		case 0:
			all++
		case x.Units:
			none++
		default:
			part++
		}
	}
	for _, need := range [...]struct {
		what        string
		got, wanted int
	}{
		{"exposures", len(e), 5}, {"exposures with growth on every unit", all, 1},
		{"exposures with growth on part of the units", part, 2}, {"exposures without growth", none, 2},
	} {
		if need.got < need.wanted {
			out = append(out, fmt.Sprintf("%d %s, %d are asked", need.got, need.what, need.wanted))
		}
	}
	return out
}

// ends finds the first exposure without growth, after which there must be none.
func ends(e []Exposure) (k int, err error) {
	dead := func(x Exposure) bool { return x.Negative == x.Units }
	switch k = slices.IndexFunc(e, dead); {
	case k < 0:
		return 0, fail("no exposure is without growth")
	case slices.ContainsFunc(e[k:], func(x Exposure) bool { return !dead(x) }):
		return 0, fail("growth returns after exposure %d, which had none", k)
	case k == 0 || e[0].Negative != 0:
		return 0, fail("the first exposure must show growth on every unit")
	}
	return k, nil
}

// LimitedSpearmanKarber estimates the D-value by the limited method of Spearman and Karber: the
// same number of units at each exposure, equal steps between them. The mean is
// U = Uk − d/2 − (d/n) Σ r, its variance d²/(n²(n−1)) Σ r(n−r), and
// D = U/(lg P + 0.2507) (GOST ISO 11138-1-2012, D.1 and D.2: D and the symbols
// published, the form of U and V recalled).
func LimitedSpearmanKarber(population float64, e []Exposure) (Estimate, error) {
	lg, t, err := read(population, e)
	if err != nil {
		return Estimate{}, err
	}
	k, err := ends(e)
	if err != nil {
		return Estimate{}, err
	}
	n, d := e[0].Units, t[1]-t[0]
	sum, scatter := 0.0, 0.0
	for i := 0; i <= k; i++ {
		if e[i].Units != n {
			return Estimate{}, fail("exposure %d: %d units where the first has %d; the limited method needs equal numbers",
				i, e[i].Units, n)
		}
		if i > 0 && math.Abs(t[i]-t[i-1]-d) > 1e-9*t[i] {
			return Estimate{}, fail("exposure %d: the limited method needs equal steps", i)
		}
		if i < k {
			sum += float64(e[i].Negative)
			scatter += float64(e[i].Negative) * float64(n-e[i].Negative)
		}
	}
	nf := float64(n)
	u := t[k] - d/2 - d/nf*sum
	v := d * d / (nf * nf * (nf - 1)) * scatter
	below := lg + eulerShare
	off := 1.96 * math.Sqrt(v)
	return Estimate{
		Method: "limited Spearman-Karber", D: minutes(u/below, 5),
		Low: minutes((u-off)/below, 5), High: minutes((u+off)/below, 5),
		Mean: minutes(u, 5), Lacks: lacks(e),
	}, nil
}

// SpearmanKarber estimates the D-value by the general method of Spearman and Karber, at
// any steps and numbers: the mean of the midpoints of the steps, weighted with the
// share of units that stop growing in each (ISO 11138-1, quoted).
func SpearmanKarber(population float64, e []Exposure) (Estimate, error) {
	lg, t, err := read(population, e)
	if err != nil {
		return Estimate{}, err
	}
	k, err := ends(e)
	if err != nil {
		return Estimate{}, err
	}
	u := 0.0
	share := func(i int) float64 { return float64(e[i].Negative) / float64(e[i].Units) }
	for i := range k {
		u += (t[i] + t[i+1]) / 2 * (share(i+1) - share(i))
	}
	d := minutes(u/(lg+eulerShare), 5)
	return Estimate{Method: "general Spearman-Karber", D: d, Mean: minutes(u, 5), Lacks: lacks(e)}, nil
}

// StumboMurphyCochran estimates the D-value by the method of Stumbo, Murphy and Cochran:
// t/(lg P − lg ln(n/r)) at each exposure with growth on part of the units, and the
// mean of those (need of three quoted, formula recalled).
func StumboMurphyCochran(population float64, e []Exposure) (Estimate, error) {
	lg, t, err := read(population, e)
	if err != nil {
		return Estimate{}, err
	}
	sum, n := 0.0, 0
	for i, x := range e {
		if x.Negative > 0 && x.Negative < x.Units {
			down := lg - math.Log10(math.Log(float64(x.Units)/float64(x.Negative)))
			if !(down > 0) || t[i] == 0 {
				return Estimate{}, fail("exposure %d: more would be alive than there were", i)
			}
			sum += t[i] / down
			n++
		}
	}
	if n == 0 {
		return Estimate{}, fail("no exposure shows growth on part of the units")
	}
	est := Estimate{Method: "Stumbo-Murphy-Cochran", D: minutes(sum/float64(n), 5)}
	if n < 3 {
		est.Lacks = []string{fmt.Sprintf("%d exposures with growth on part of the units, 3 are asked", n)}
	}
	return est, nil
}

// Count is one point of a survivor curve.
type Count struct {
	Time      units.Duration
	Survivors float64 // on one unit
}

// Line is a straight line through lg of the survivors against the time.
type Line struct {
	Estimate
	InterceptLog10 float64 // lg of the survivors at time zero by the line
	R2             float64 // the square of the correlation
}

// SurvivorCurve estimates the D-value by least squares: −1 over the slope. ISO
// 11138-1 asks for at least five exposures, time zero among them and one that
// leaves 0.01 % or less (quoted). Here that is of the first count, or of the
// smallest of several at that time: a later one can be larger. Counts at one time are
// one exposure.
func SurvivorCurve(points []Count) (Line, error) {
	if len(points) < 3 || len(points) > 1000 {
		return Line{}, fail("%d counts are not within 3 and 1000", len(points))
	}
	n := float64(len(points))
	var mx, my float64
	start, first, least := math.Inf(1), 0.0, math.Inf(1)
	times := map[float64]bool{}
	for i, p := range points {
		t := p.Time.Float64(units.Minute)
		if !(t >= 0 && t <= 1e5) || !(p.Survivors >= 1e-12 && p.Survivors <= 1e12) {
			return Line{}, fail("count %d: a time and a positive count are needed", i)
		}
		switch {
		case t < start:
			start, first = t, p.Survivors
		case t == start:
			first = min(first, p.Survivors)
		}
		times[t], least = true, min(least, p.Survivors)
		mx, my = mx+t/n, my+math.Log10(p.Survivors)/n
	}
	var xx, xy, yy float64
	for _, p := range points {
		x, y := p.Time.Float64(units.Minute)-mx, math.Log10(p.Survivors)-my
		xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
	}
	slope := xy / xx
	if !(slope < -1e-9) {
		return Line{}, fail("the counts do not fall with time")
	}
	l := Line{Estimate{Method: "survivor curve", D: minutes(-1/slope, 5)}, my - slope*mx, xy * xy / (xx * yy)}
	if len(times) < 5 {
		l.Lacks = append(l.Lacks, fmt.Sprintf("%d exposures, 5 are asked", len(times)))
	}
	if start > 0 {
		l.Lacks = append(l.Lacks, "no count at time zero")
	}
	if !(least <= first*1e-4*(1+1e-9)) {
		l.Lacks = append(l.Lacks, "no count down to 0.01 % of the first")
	}
	return l, nil
}
