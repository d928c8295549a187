// Package drawing draws the trace of a sterilization cycle as SVG, readable in black
// and white: the temperatures, the pressure as the temperature of saturated steam,
// the band and the hold, the phases, and the lethality as it adds up.
//
// A picture helps a person see what happened. It decides nothing.
package drawing

import (
	"bytes"
	"cmp"
	"fmt"
	"html"
	"io"
	"math"
	"strings"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/cycle/steam"
	"example.com/moistheat/units"
)

// The places on the sheet, in pixels.
const (
	width         = 960.0
	left, right   = 64.0, 936.0
	top, bottom   = 56.0, 392.0 // temperatures
	strip, stripH = 404.0, 22.0 // phases
	fTop, fBottom = 450.0, 530.0
	legendY       = 574.0
	legendRow     = 18.0
)

// SVG writes a drawing of a trace and what [cycle.Analyze] found in it. Gauge
// pressures are left out where the requirement of the analysis has no atmosphere. The
// same input gives the same bytes, and long traces no larger drawings. The error is
// [moistheat.ErrInvalid] where the trace has too few samples, or columns that do not
// fit together, or where w is nil, or else that of w.
func SVG(w io.Writer, t *cycle.Trace, a *cycle.Analysis) error {
	s, err := newSheet(t, a)
	if err != nil {
		return err
	}
	if w == nil {
		return fmt.Errorf("drawing: there is nothing to write to: %w", moistheat.ErrInvalid)
	}
	s.frame()
	s.band()
	s.phases()
	s.lethality()
	s.curves()
	s.hold()
	s.printf("</svg>\n")
	_, err = w.Write(s.b.Bytes())
	return err
}

// curve is one line: values in degrees Celsius, by sample.
type curve struct {
	name   string
	values func(i int) float64
	style  string
}

// The lines of thermometers, told apart without colour.
var styles = [...]string{
	`stroke="#000" stroke-width="1.6"`,
	`stroke="#000" stroke-width="1.3" stroke-dasharray="7 3"`,
	`stroke="#000" stroke-width="1.3" stroke-dasharray="2 2"`,
	`stroke="#000" stroke-width="1.3" stroke-dasharray="9 3 2 3"`,
	`stroke="#666" stroke-width="2.2"`,
	`stroke="#666" stroke-width="2.2" stroke-dasharray="7 3"`,
}

const steamStyle = `stroke="#999" stroke-width="3.2" stroke-opacity="0.75"`

type sheet struct {
	b      bytes.Buffer
	t      *cycle.Trace
	a      *cycle.Analysis
	second float64 // in one unit of time
	begin  float64 // seconds
	end    float64
	low    float64 // °C
	high   float64
	lines  []curve
	places []mark // of the names of the lines
	gap    float64
}

func errTrace() error {
	return fmt.Errorf("drawing: a trace without two samples, or without its analysis: %w", moistheat.ErrInvalid)
}

// mark is a place on the sheet.
type mark struct{ x, y float64 }

func (s *sheet) printf(format string, args ...any) { fmt.Fprintf(&s.b, format, args...) }

// steamAt returns the temperature of saturated steam at a pressure in units of so many
// kilopascals, above that of the air outside.
func steamAt(kPa, outside float64) func(x float64) float64 {
	return func(x float64) float64 { return steam.SaturationTemperatureCelsius(x*kPa + outside) }
}

func newSheet(t *cycle.Trace, a *cycle.Analysis) (*sheet, error) {
	if t == nil || a == nil {
		return nil, errTrace()
	}
	n := len(t.Time.Values)
	s := &sheet{t: t, a: a, second: units.New(1, 0, t.Time.Unit).Float64(units.Second), low: 0, high: 150}
	if n < 2 || math.IsNaN(s.second) {
		return nil, errTrace()
	}
	for i, x := range t.Time.Values {
		if i > 0 && !(x > t.Time.Values[i-1]) {
			return nil, fmt.Errorf("drawing: the times do not increase: %w", moistheat.ErrInvalid)
		}
	}
	s.begin, s.end = s.at(0), s.at(n-1)
	if math.IsInf(s.begin, 0) || math.IsInf(s.end-s.begin, 0) {
		return nil, errTrace()
	}
	s.gap = max(5, 3*a.SampleInterval.Float64(units.Second))
	if err := s.channels(); err != nil {
		return nil, err
	}
	for _, l := range s.lines {
		for i := range n {
			if v := l.values(i); v > s.high && v < 1000 {
				s.high = math.Ceil(v/50) * 50
			}
		}
	}
	x, y := left, legendY
	for _, l := range s.lines {
		w := 54 + 6.6*float64(len([]rune(l.name)))
		if x+w > right && x > left {
			x, y = left, y+legendRow
		}
		s.places = append(s.places, mark{x, y})
		x += w
	}
	return s, nil
}

// channels adds the lines of all sensors that can be drawn.
func (s *sheet) channels() error {
	var errs []error
	for _, c := range s.t.AbsolutePressures {
		k := units.New(1, 0, c.Unit).Float64(units.Kilopascal)
		errs = append(errs, s.add(c.Place, c.ID, c.Values, true, steamAt(k, 0)))
	}
	if outside := s.a.Requirement.Atmosphere.Float64(units.Kilopascal); !math.IsNaN(outside) {
		for _, c := range s.t.GaugePressures {
			k := units.New(1, 0, c.Unit).Float64(units.KilopascalGauge)
			errs = append(errs, s.add(c.Place, c.ID, c.Values, true, steamAt(k, outside)))
		}
	}
	for _, c := range s.t.Temperatures {
		errs = append(errs, s.add(c.Place, c.ID, c.Values, false, toCelsius(c.Unit)))
	}
	return cmp.Or(errs...)
}

func toCelsius(u units.TemperatureUnit) func(x float64) float64 {
	switch u {
	case units.Fahrenheit:
		return func(x float64) float64 { return (x - 32) * 5 / 9 }
	case units.Kelvin:
		return func(x float64) float64 { return x - 273.15 }
	}
	return func(x float64) float64 { return x }
}

func (s *sheet) add(p cycle.Place, id string, values []float64, pressure bool, celsius func(x float64) float64) error {
	if len(values) != len(s.t.Time.Values) {
		return fmt.Errorf("drawing: %.40q has %d values for %d times: %w", id, len(values), len(s.t.Time.Values),
			moistheat.ErrInvalid)
	}
	name, style := id+", "+string(p), steamStyle
	if pressure {
		name += ", as saturated steam"
	} else {
		n := 0
		for _, l := range s.lines {
			if l.style != steamStyle {
				n++
			}
		}
		style = styles[n%len(styles)]
	}
	s.lines = append(s.lines, curve{name, func(i int) float64 { return celsius(values[i]) }, style})
	return nil
}

func (s *sheet) at(i int) float64 { return s.t.Time.Values[i] * s.second }

func (s *sheet) x(seconds float64) float64 {
	return left + (right-left)*(seconds-s.begin)/(s.end-s.begin)
}

func (s *sheet) y(celsius float64) float64 {
	return bottom - (bottom-top)*(celsius-s.low)/(s.high-s.low)
}

// step returns a round step that makes at most so many of a span.
func step(span float64, most int) float64 {
	raw := span / float64(most)
	unit := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, f := range [...]float64{1, 2, 5} {
		if unit*f >= raw {
			return unit * f
		}
	}
	return unit * 10
}

func (s *sheet) text(x, y float64, anchor, extra, text string) {
	s.printf(`<text x="%.1f" y="%.1f" text-anchor="%s"%s>%s</text>`+"\n", x, y, anchor, extra, html.EscapeString(moistheat.Visible(text)))
}

func (s *sheet) frame() {
	height := legendY + 16
	if n := len(s.places); n > 0 {
		height = s.places[n-1].y + 16
	}
	s.printf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" width="%g" height="%g" `+
		`font-family="sans-serif" font-size="12" fill="#000">`+"\n", width, height, width, height)
	s.printf(`<title>Trace of a sterilization cycle</title>` + "\n")
	s.printf(`<defs><pattern id="band" width="6" height="6" patternUnits="userSpaceOnUse" ` +
		`patternTransform="rotate(45)"><line x1="0" y1="0" x2="0" y2="6" stroke="#bbb" stroke-width="1.5"/></pattern>` +
		`<clipPath id="plot"><rect x="64" y="56" width="872" height="336"/></clipPath></defs>` + "\n")
	s.printf(`<rect width="%g" height="%g" fill="#fff"/>`+"\n", width, height)
	s.text(left, 24, "start", ` font-size="15" font-weight="bold"`, s.heading())
	s.text(left, 44, "start", ``, "°C")
	for c := s.low; c <= s.high; c += step(s.high-s.low, 8) {
		s.printf(`<line x1="%g" y1="%.1f" x2="%g" y2="%.1f" stroke="#ddd"/>`+"\n", left, s.y(c), right, s.y(c))
		s.text(left-8, s.y(c)+4, "end", "", fmt.Sprintf("%g", c))
	}
	minute := step((s.end-s.begin)/60, 12)
	first := math.Ceil(s.begin/60/minute) * minute
	for i := range 14 {
		m := first + float64(i)*minute
		x := s.x(m * 60)
		if !(x >= left && x <= right) {
			break
		}
		s.printf(`<line x1="%.1f" y1="%g" x2="%.1f" y2="%g" stroke="#ddd"/>`+"\n", x, top, x, bottom)
		s.printf(`<line x1="%.1f" y1="%g" x2="%.1f" y2="%g" stroke="#000"/>`+"\n", x, fBottom, x, fBottom+5)
		s.text(x, fBottom+19, "middle", "", fmt.Sprintf("%.4g", m))
	}
	s.text(right, fBottom+33, "end", "", "minutes")
	s.printf(`<rect x="%g" y="%g" width="%g" height="%g" fill="none" stroke="#000"/>`+"\n",
		left, top, right-left, bottom-top)
}

func (s *sheet) heading() string {
	switch r := s.a.Requirement; {
	case !s.a.Hold.IsValid():
		return "No holding time: the values are not possible"
	case r.IsValid() && r.Hold.IsValid():
		return fmt.Sprintf("Held %s of the %s needed at %s", s.a.Hold.Rounded(units.Second), r.Hold, r.Temperature)
	}
	return "Held " + s.a.Hold.String()
}

// band draws the sterilization temperature and the band above it.
func (s *sheet) band() {
	r := s.a.Requirement
	if !r.IsValid() {
		return
	}
	from := s.y(r.Temperature.Float64(units.Celsius))
	if upper := r.UpperIn(units.Celsius, r.Band).Float64(units.Celsius); !math.IsNaN(upper) {
		s.printf(`<rect x="%g" y="%.1f" width="%g" height="%.1f" fill="url(#band)"/>`+"\n",
			left, s.y(upper), right-left, from-s.y(upper))
	}
	s.printf(`<line x1="%g" y1="%.1f" x2="%g" y2="%.1f" stroke="#000" stroke-width="0.8"/>`+"\n", left, from, right, from)
}

// phases draws the strip of phases, each named where there is room.
func (s *sheet) phases() {
	var letters []string
	for _, p := range s.a.Profile.Phases {
		x, to := s.x(p.Start.Float64(units.Second)), s.x(p.End.Float64(units.Second))
		if math.IsNaN(x) || math.IsNaN(to) {
			continue
		}
		fill := "#fff"
		if p.Kind == cycle.Holding {
			fill = "#ccc"
		}
		s.printf(`<rect x="%.1f" y="%g" width="%.1f" height="%g" fill="%s" stroke="#000"/>`+"\n",
			x, strip, to-x, stripH, fill)
		name := string(p.Kind)
		if room := to - x; room < 7*float64(len(name))+6 {
			letter := string(rune('a' + len(letters)))
			letters = append(letters, letter+": "+name)
			if room < 10 { // beside it rather than in it
				s.printf(`<line x1="%.1f" y1="%g" x2="%.1f" y2="%g" stroke="#000"/>`+"\n",
					(x+to)/2, strip+stripH, (x+to)/2, strip+stripH+5)
				s.text((x+to)/2, strip+stripH+15, "middle", ` font-size="11"`, letter)
				continue
			}
			name = letter
		}
		s.text((x+to)/2, strip+15, "middle", "", name)
	}
	if letters != nil {
		s.text(right, 44, "end", ` font-size="11"`, strings.Join(letters, ", "))
	}
}

// lethality draws how it adds up at the channel that is worth least.
func (s *sheet) lethality() {
	l := &s.a.Lethality
	total := l.Minutes.Float64(units.Minute)
	if !(total > 0) {
		return
	}
	for i := range s.t.Temperatures {
		c := &s.t.Temperatures[i]
		if c.ID != l.Channel {
			continue
		}
		celsius := toCelsius(c.Unit)
		sum := 0.0
		points := newPath(s)
		points.add(s.begin, fBottom)
		before := cycle.LethalRate(celsius(c.Values[0]), l.Reference, l.Z)
		for i := 1; i < len(c.Values); i++ {
			rate := cycle.LethalRate(celsius(c.Values[i]), l.Reference, l.Z)
			if dt := s.at(i) - s.at(i-1); dt <= s.gap {
				sum += (before + rate) / 2 * dt / 60
			}
			before = rate
			points.add(s.at(i), fBottom-(fBottom-fTop)*min(1, sum/total))
		}
		s.printf(`<path d="%s" fill="none" stroke="#000" stroke-width="1.4"/>`+"\n", points.String())
		break
	}
	s.printf(`<rect x="%g" y="%g" width="%g" height="%g" fill="none" stroke="#000"/>`+"\n",
		left, fTop, right-left, fBottom-fTop)
	s.text(left-8, fTop+9, "end", "", fmt.Sprintf("%.3g", total))
	s.text(left-8, fBottom, "end", "", "0")
	s.text(left+6, fTop+15, "start", "", fmt.Sprintf("minutes at %s, z %s, at %s", l.Reference, l.Z, l.Channel))
}

func (s *sheet) curves() {
	for k, l := range s.lines {
		p := newPath(s)
		before := math.NaN()
		for i := range s.t.Time.Values {
			v := l.values(i)
			if math.IsNaN(v) || math.IsInf(v, 0) || s.at(i)-before > s.gap {
				p.lift()
			}
			before = s.at(i)
			if !math.IsNaN(v) && !math.IsInf(v, 0) {
				p.add(s.at(i), s.y(min(max(v, s.low-100), s.high+100)))
			}
		}
		s.printf(`<path d="%s" fill="none" stroke-linejoin="round" clip-path="url(#plot)" %s/>`+"\n", p.String(), l.style)
		x, y := s.places[k].x, s.places[k].y
		s.printf(`<line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f" %s/>`+"\n", x, y-4, x+34, y-4, l.style)
		s.text(x+40, y, "start", "", l.name)
	}
}

// hold marks the hold.
func (s *sheet) hold() {
	from, to := s.a.HoldStart.Float64(units.Second), s.a.HoldEnd.Float64(units.Second)
	if !s.a.Hold.IsValid() || math.IsNaN(from) || math.IsNaN(to) {
		return
	}
	for _, x := range [...]float64{s.x(from), s.x(to)} {
		s.printf(`<line x1="%.1f" y1="%g" x2="%.1f" y2="%g" stroke="#000" stroke-width="0.8" stroke-dasharray="3 3"/>`+"\n",
			x, top, x, bottom)
	}
	s.printf(`<path d="M%.1f %g v-5 H%.1f v5" fill="none" stroke="#000"/>`+"\n", s.x(from), top, s.x(to))
	s.text((s.x(from)+s.x(to))/2, top+18, "middle", "", "holding time")
}

// path draws a line with at most a few points for each pixel of its length, so that
// a long trace makes no larger drawing: of all points on one pixel it keeps the
// first, the lowest, the highest and the last.
type path struct {
	s         *sheet
	b         strings.Builder
	pixel     int
	n         int
	down      bool
	x         float64
	first     float64
	least     float64
	most      float64
	last      float64
	leastLast bool
}

func newPath(s *sheet) *path { return &path{s: s} }

func (p *path) add(seconds, y float64) {
	x := p.s.x(seconds)
	if pixel := int(x); p.n > 0 && pixel != p.pixel {
		p.flush()
	}
	if p.n == 0 {
		p.pixel, p.x, p.first, p.least, p.most = int(x), x, y, y, y
	}
	if y < p.least {
		p.least, p.leastLast = y, true
	}
	if y > p.most {
		p.most, p.leastLast = y, false
	}
	p.last = y
	p.n++
}

// flush writes the points of one pixel.
func (p *path) flush() {
	if p.n == 0 {
		return
	}
	ys := [...]float64{p.first, p.least, p.most, p.last}
	if p.leastLast {
		ys[1], ys[2] = p.most, p.least
	}
	before := ""
	for _, y := range ys {
		command := "L"
		if !p.down {
			command = "M"
		}
		if at := fmt.Sprintf("%.1f %.1f", p.x, y); at != before {
			p.b.WriteString(command + at)
			before, p.down = at, true
		}
	}
	p.n = 0
}

// lift ends the line; the next point begins another.
func (p *path) lift() {
	p.flush()
	p.down = false
}

func (p *path) String() string {
	p.flush()
	return p.b.String()
}
