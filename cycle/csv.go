package cycle

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"example.com/moistheat"
	"example.com/moistheat/internal/strictjson"
	"example.com/moistheat/units"
)

// DecodeTrace reads a trace in the library's own JSON, as strictly as a record: an
// unknown or duplicate name, a missing member or a number that cannot be one is an
// error, a [*moistheat.DocumentError]. What the numbers mean is for [Analyze] to say.
func DecodeTrace(data []byte) (*Trace, error) {
	return strictjson.Read[Trace](data, strictjson.Default(), "")
}

// csvError is the error of a line of CSV, or of the file where line is 0.
func csvError(kind moistheat.ErrorKind, line, column int, problem string) error {
	return &moistheat.DocumentError{Kind: kind, Format: "CSV", Line: line, Column: column, Offset: -1, Problem: problem}
}

// Columns declares what a CSV file of a recorder holds. Nothing is guessed from the
// file. Columns count from 1; a column that is not declared is not read.
type Columns struct {
	Separator    string             `json:"separator,omitzero"`    // one character; absent, a comma
	DecimalComma bool               `json:"decimalComma,omitzero"` // 134,2 for 134.2
	Skip         int                `json:"skip,omitzero"`         // lines before the first sample
	Time         int                `json:"time"`                  // the column of the time
	TimeUnit     units.DurationUnit `json:"timeUnit,omitzero"`     // for a column of numbers
	// TimeLayout is for a column of clock times, as package time writes layouts, such
	// as "2006-01-02 15:04:05". The times are taken as they stand, whatever the zone.
	// A layout without a date cannot cross midnight: the clock then steps back.
	TimeLayout        string                   `json:"timeLayout,omitzero"`
	Temperatures      []TemperatureColumn      `json:"temperatures"`
	AbsolutePressures []AbsolutePressureColumn `json:"absolutePressures,omitzero"`
	GaugePressures    []GaugePressureColumn    `json:"gaugePressures,omitzero"`
}

// Column declares the column of one sensor.
type Column[U, A units.Unit] struct {
	Column   int               `json:"column"`
	ID       string            `json:"id"`
	Place    Place             `json:"place"`
	Unit     U                 `json:"unit"`
	Accuracy units.Quantity[A] `json:"accuracy,omitzero"`
}

// The columns, one type for each quantity.
type (
	TemperatureColumn      = Column[units.TemperatureUnit, units.TemperatureDifferenceUnit]
	AbsolutePressureColumn = Column[units.AbsolutePressureUnit, units.AbsolutePressureUnit]
	GaugePressureColumn    = Column[units.GaugePressureUnit, units.GaugePressureUnit]
)

// The bounds of a CSV file.
const (
	maxCSVBytes   = 32 << 20
	maxCSVLine    = 64 << 10
	maxCSVColumns = 1000
)

// ReadCSV reads the trace of a recorder's CSV file (RFC 4180) by its declared
// columns. An empty cell, a cell that is no plain number, a line of another length,
// a line of more than 64 KiB and a file of more than 32 MiB are errors; nothing is
// repaired. A nil Reader is an empty file. Every error but that of r is a
// [*moistheat.DocumentError].
func ReadCSV(r io.Reader, c *Columns) (*Trace, error) {
	if c == nil {
		c = &Columns{}
	}
	if err := c.problem(); err != nil {
		return nil, err
	}
	if r == nil {
		r = strings.NewReader("")
	}
	data, err := io.ReadAll(io.LimitReader(r, maxCSVBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxCSVBytes {
		return nil, csvError(moistheat.ErrLimit, 0, 0, fmt.Sprintf("more than %d bytes", maxCSVBytes))
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	for i := range c.Skip {
		end := bytes.IndexByte(data, '\n')
		if end < 0 {
			return nil, csvError(moistheat.ErrShape, i+1, 0, "the file ends before the first sample")
		}
		data = data[end+1:]
	}
	if line := longLine(data); line > 0 {
		problem := fmt.Sprintf("the line is longer than the %d bytes allowed", maxCSVLine)
		return nil, csvError(moistheat.ErrLimit, line+c.Skip, 0, problem)
	}
	in := csv.NewReader(bytes.NewReader(data))
	in.ReuseRecord = true
	if c.Separator != "" {
		in.Comma = []rune(c.Separator)[0]
	}
	return c.read(in)
}

// longLine returns the number of the first line that is over the limit, or 0. A line
// ends at a line feed outside quotes. encoding/csv keeps some forty bytes for every
// cell of a line, so that one line could take all the memory there is.
func longLine(data []byte) int {
	line, start, begun, quoted := 1, 0, 1, false
	for i, c := range data {
		switch {
		case c == '"':
			quoted = !quoted
		case c == '\n':
			line++
			if !quoted {
				start, begun = i+1, line
			}
		}
		if i-start >= maxCSVLine {
			return begun
		}
	}
	return 0
}

func (c *Columns) read(in *csv.Reader) (*Trace, error) {
	t := &Trace{Time: TimeBase{Unit: c.TimeUnit, Values: []float64{}}}
	var targets []target
	t.Temperatures = channelsOf(c.Temperatures, &targets)
	t.AbsolutePressures = channelsOf(c.AbsolutePressures, &targets)
	t.GaugePressures = channelsOf(c.GaugePressures, &targets)
	if c.TimeLayout != "" {
		t.Time.Unit = units.Second
	}
	for {
		row, err := in.Read()
		if err == io.EOF {
			return t, nil
		}
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			return nil, csvError(moistheat.ErrSyntax, bad.Line+c.Skip, 0, bad.Err.Error())
		}
		if err != nil {
			return nil, err
		}
		cell := func(column int) (text string, fail func(problem string) error) {
			line, _ := in.FieldPos(0)
			if column <= len(row) {
				line, _ = in.FieldPos(column - 1)
				text = strings.TrimSpace(row[column-1])
			}
			return text, func(problem string) error {
				return csvError(moistheat.ErrShape, line+c.Skip, column, problem)
			}
		}
		text, fail := cell(c.Time)
		var at float64
		if c.TimeLayout == "" {
			if at, err = c.number(text); err != nil {
				return nil, fail(err.Error())
			}
		} else {
			clock, err := time.Parse(c.TimeLayout, text)
			if err != nil {
				return nil, fail(fmt.Sprintf("%.40q is not a time such as %q", text, c.TimeLayout))
			}
			if len(t.Time.Values) == 0 {
				t.Start = clock
			}
			at = clock.Sub(t.Start).Seconds()
		}
		t.Time.Values = append(t.Time.Values, at)
		for _, to := range targets {
			text, fail := cell(to.column)
			x, err := c.number(text)
			if err != nil {
				return nil, fail(err.Error())
			}
			*to.values = append(*to.values, x)
		}
	}
}

// target is where the numbers of a column go.
type target struct {
	column int
	values *[]float64
}

func channelsOf[U, A units.Unit](columns []Column[U, A], targets *[]target) (out []Channel[U, A]) {
	for _, c := range columns {
		out = append(out, Channel[U, A]{ID: c.ID, Place: c.Place, Unit: c.Unit, Accuracy: c.Accuracy, Values: []float64{}})
	}
	for i := range out {
		*targets = append(*targets, target{columns[i].Column, &out[i].Values})
	}
	return out
}

// number reads a plain decimal number.
func (c *Columns) number(text string) (float64, error) {
	s := text
	if c.DecimalComma {
		if strings.Contains(s, ".") {
			return 0, fmt.Errorf("%.40q has a point where decimals follow a comma", text)
		}
		s = strings.Replace(s, ",", ".", 1)
	}
	if s == "" {
		return 0, errors.New("the cell is empty")
	}
	x, err := strconv.ParseFloat(s, 64)
	if strings.Trim(s, "+-.0123456789eE") != "" || len(s) > 40 || err != nil || math.IsInf(x, 0) {
		return 0, fmt.Errorf("%.40q is not a number", text)
	}
	return x, nil
}

// problem says what is wrong with a declaration.
func (c *Columns) problem() error {
	bad := func(pointer, problem string) error {
		return &moistheat.DocumentError{Kind: moistheat.ErrShape, Pointer: pointer, Offset: -1, Problem: problem}
	}
	used := map[int]string{}
	take := func(pointer string, column int) error {
		if column < 1 || column > maxCSVColumns {
			return bad(pointer, fmt.Sprintf("columns count from 1 to %d", maxCSVColumns))
		}
		if by, taken := used[column]; taken {
			return bad(pointer, "is the column of "+by)
		}
		used[column] = pointer
		return nil
	}
	switch {
	case utf8.RuneCountInString(c.Separator) > 1 || strings.ContainsAny(c.Separator, "\x00\"\n\r\ufffd"):
		return bad("/separator", "want one character that is neither a quote nor a line break")
	case c.DecimalComma && (c.Separator == "" || c.Separator == ","):
		return bad("/separator", "is the comma that decimals follow")
	case c.Skip < 0 || c.Skip > 10000:
		return bad("/skip", "is outside 0 to 10000")
	case c.TimeLayout == "" && c.TimeUnit == 0:
		return bad("/timeUnit", "is missing; only clock times have none")
	case c.TimeLayout != "" && c.TimeUnit != 0:
		return bad("/timeUnit", "stands beside a layout of clock times")
	case len(c.Temperatures) == 0:
		return bad("/temperatures", "there are none")
	}
	if err := take("/time", c.Time); err != nil {
		return err
	}
	return cmp.Or(columnProblem("/temperatures/", c.Temperatures, take, bad),
		columnProblem("/absolutePressures/", c.AbsolutePressures, take, bad),
		columnProblem("/gaugePressures/", c.GaugePressures, take, bad))
}

// columnProblem takes the columns of a list and looks at what they say of themselves.
func columnProblem[U, A units.Unit](list string, columns []Column[U, A],
	take func(pointer string, column int) error, bad func(pointer, problem string) error) error {
	if len(columns) > mostChannels {
		return bad(strings.TrimSuffix(list, "/"),
			fmt.Sprintf("%d columns; a trace has at most %d", len(columns), mostChannels))
	}
	for i, x := range columns {
		p := list + strconv.Itoa(i)
		if err := take(p+"/column", x.Column); err != nil {
			return err
		}
		if x.Unit == U(0) || x.Place == "" {
			return bad(p, "unit and place are needed")
		}
	}
	return nil
}
