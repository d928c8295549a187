package loadtest

import (
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"time"

	"example.com/moistheat"
	"example.com/moistheat/cycle"
	"example.com/moistheat/load"
	"example.com/moistheat/load/history"
	"example.com/moistheat/units"
)

// DiffDocuments compares what two documents of a kind say, as the readers of the
// library understand them. It returns a line for each difference, with a JSON Pointer
// into the first document, or "". Of a long list it says at its end how many more there
// are. A document that cannot be read is an error.
//
// Software that keeps a document may write it in its own words: members in any order,
// white space, a quantity or the readings of a recording in another unit if that is
// exactly the same, an instant in another zone if it stays on its day, and the lines of
// a history in any order or several times. All else is to be as it was: every text and
// id, the order of lists, and what is absent. An empty list and an absent one
// are the same: neither says anything.
func DiffDocuments(kind Subject, was, is []byte) (string, error) {
	a, err := decodeAs(kind, was)
	if err != nil {
		return "", fmt.Errorf("loadtest: the first document: %w", err)
	}
	b, err := decodeAs(kind, is)
	if err != nil {
		return "", fmt.Errorf("loadtest: the second document: %w", err)
	}
	var d differ
	if kind == SubjectHistory {
		d.history(a.([]history.Entry), b.([]history.Entry))
	} else {
		d.values(reflect.ValueOf(a).Elem(), reflect.ValueOf(b).Elem(), "", false)
	}
	return d.String(), nil
}

// decodeAs decodes a document of a kind.
func decodeAs(kind Subject, doc []byte) (any, error) {
	switch kind {
	case SubjectRecord, SubjectPlan:
		return load.Decode(doc)
	case SubjectStored:
		return history.DecodeStoredPack(doc)
	case SubjectHistory:
		return entries(doc)
	}
	return nil, errors.New("it is not said what judges it")
}

// maxDifferences is how many differences are told one by one.
const maxDifferences = 20

// differ gathers the differences of two values.
type differ struct{ found []change }

type change struct{ at, what string }

func (d *differ) String() string {
	var b strings.Builder
	for i, f := range d.found {
		if i == maxDifferences {
			fmt.Fprintf(&b, "and %d more\n", len(d.found)-i)
			break
		}
		fmt.Fprintf(&b, "%q: %s\n", f.at, f.what)
	}
	return b.String()
}

func (d *differ) say(at, format string, args ...any) {
	d.found = append(d.found, change{at, fmt.Sprintf(format, args...)})
}

// differs notes that a value is another one. One that may be absent is if it is zero.
func (d *differ) differs(was, is reflect.Value, at string, optional bool) {
	d.say(at, "was %s, is %s", text(was, optional), text(is, optional))
}

// text writes a value as JSON, on one short line.
func text(v reflect.Value, optional bool) string {
	if optional && v.IsZero() {
		return "absent"
	}
	data, err := json.Marshal(v.Interface())
	if err != nil { // a required value that is not set
		return fmt.Sprintf("%v", v)
	}
	if len(data) > 100 {
		return strings.ToValidUTF8(string(data[:100]), "") + "…"
	}
	return string(data)
}

// values compares two values of one type. optional says that a zero one is absent.
func (d *differ) values(was, is reflect.Value, at string, optional bool) {
	if same, leaf := d.leaf(was.Interface(), is.Interface(), at); leaf {
		if !same {
			d.differs(was, is, at, optional)
		}
		return
	}
	switch was.Kind() {
	case reflect.Pointer:
		switch {
		case was.IsNil() != is.IsNil():
			d.differs(was, is, at, true)
		case !was.IsNil():
			d.values(was.Elem(), is.Elem(), at, false)
		}
	case reflect.Slice:
		for i := range max(was.Len(), is.Len()) {
			at := at + "/" + strconv.Itoa(i)
			switch {
			case i >= is.Len():
				d.say(at, "was %s, is absent", text(was.Index(i), false))
			case i >= was.Len():
				d.say(at, "was absent, is %s", text(is.Index(i), false))
			default:
				d.values(was.Index(i), is.Index(i), at, false)
			}
		}
	case reflect.Struct:
		if optional && was.IsZero() != is.IsZero() {
			d.differs(was, is, at, true)
			return
		}
		d.members(was, is, at)
	default:
		if !was.Equal(is) {
			d.differs(was, is, at, optional)
		}
	}
}

// members compares the fields of two structs that JSON has.
func (d *differ) members(was, is reflect.Value, at string) {
	for i := range was.NumField() {
		f := was.Type().Field(i)
		name, opts, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case f.Anonymous:
			d.members(was.Field(i), is.Field(i), at)
		case f.IsExported() && name != "-":
			d.values(was.Field(i), is.Field(i), at+"/"+name, opts != "")
		}
	}
}

// quantity is a [units.Quantity] of any unit.
type quantity interface{ Value() units.Value }

// leaf compares two values that are not compared member by member, and reports
// whether they are such. Where it tells the differences itself, it calls them same.
func (d *differ) leaf(was, is any, at string) (same, leaf bool) {
	switch was := was.(type) {
	case time.Time:
		is := is.(time.Time)
		return was.Equal(is) && moistheat.DateOf(was) == moistheat.DateOf(is), true
	case moistheat.Date:
		return was == is.(moistheat.Date), true
	case quantity:
		a, b := was.Value(), is.(quantity).Value()
		c, ok := a.Compare(b)
		return a == b || ok && c == 0, true
	case cycle.TimeBase:
		is := is.(cycle.TimeBase)
		readings(d, was.Unit, is.Unit, was.Values, is.Values, at)
	case cycle.TemperatureChannel:
		channel(d, was, is.(cycle.TemperatureChannel), at)
	case cycle.AbsolutePressureChannel:
		channel(d, was, is.(cycle.AbsolutePressureChannel), at)
	case cycle.GaugePressureChannel:
		channel(d, was, is.(cycle.GaugePressureChannel), at)
	default:
		return false, false
	}
	return true, true
}

// channel compares two channels, their readings as quantities.
func channel[U, A units.Unit](d *differ, was, is cycle.Channel[U, A], at string) {
	readings(d, was.Unit, is.Unit, was.Values, is.Values, at)
	was.Unit, was.Values = is.Unit, is.Values
	d.members(reflect.ValueOf(was), reflect.ValueOf(is), at)
}

// readings compares two columns and tells the first difference.
func readings[U units.Unit](d *differ, unit, other U, was, is []float64, at string) {
	if len(was) != len(is) {
		d.say(at+"/values", "were %d, are %d", len(was), len(is))
		return
	}
	for i := range was {
		if unit == other && was[i] == is[i] {
			continue
		}
		a, b := reading(was[i], unit), reading(is[i], other)
		if unit == other || !a.IsValid() || !b.IsValid() || a.Compare(b) != 0 {
			d.say(at+"/values/"+strconv.Itoa(i), "was %s, is %s", a, b)
			return
		}
	}
}

// reading returns a number of a column with its unit.
func reading[U units.Unit](x float64, u U) units.Quantity[U] {
	q, err := units.ParseNumber(strconv.FormatFloat(x, 'g', -1, 64), u)
	if err != nil {
		return units.Quantity[U]{}
	}
	return q
}

// history compares two histories as sets of lines. Lines of one id may differ: each is
// to be there.
func (d *differ) history(was, is []history.Entry) {
	told := map[string]bool{}
	for i, w := range was {
		at := "/" + strconv.Itoa(i)
		id, best, there := closest(w, is)
		if !there {
			d.say(at, "%s is missing", id)
		}
		for _, f := range best {
			d.say(at+f.at, "%s", f.what)
		}
		told[id] = told[id] || best != nil
	}
	for i, e := range is {
		if id, best, there := closest(e, was); !there || best != nil && !told[id] {
			d.say("", "line %d of the second document, %s, is not in the first", i, id)
		}
	}
}

// closest returns the differences of a line from the one of its id that differs least.
func closest(from history.Entry, among []history.Entry) (id string, best []change, there bool) {
	id, a := content(from)
	for _, e := range among {
		other, b := content(e)
		if other != id {
			continue
		}
		var d differ
		d.values(a, b, "", false)
		if !there || len(d.found) < len(best) {
			best, there = d.found, true
		}
	}
	return id, best, there
}

// content returns what a line of a history holds, with a name for it.
func content(e history.Entry) (id string, v reflect.Value) {
	switch {
	case e.Record != nil:
		return fmt.Sprintf("record %q", e.Record.ID), reflect.ValueOf(*e.Record)
	case e.Event != nil:
		return fmt.Sprintf("event %q", e.Event.ID), reflect.ValueOf(*e.Event)
	case e.Cleaning != nil:
		return fmt.Sprintf("batch %q", e.Cleaning.ID), reflect.ValueOf(*e.Cleaning)
	case e.Amendment != nil:
		return fmt.Sprintf("amendment of %q", e.Amendment.Lines), reflect.ValueOf(*e.Amendment)
	}
	return fmt.Sprintf("stored pack %q", e.Stored.Pack), reflect.ValueOf(*e.Stored)
}
