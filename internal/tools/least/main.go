// Command least writes what a record needs at least, by policy. Run it from the top of
// the repository after a change to a rule or a policy, and internal/tools/schemas after it,
// which takes some of the records as examples:
//
//	go run ./internal/tools/least
//
// It takes a full record of one pouch with printed readings only, leaves out one member
// after the other for as long as the policy still releases the load, and writes what is
// left to examples/printed, a file for each record that is another, and the members by
// policy to README.md. What it finds is a least set, not the only one: other evidence may
// answer in its place, such as a recording for printed readings.
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"example.com/moistheat/internal/tools/ordered"
	"example.com/moistheat/internal/tools/quit"
	"example.com/moistheat/internal/tools/reduce"
	"example.com/moistheat/load"
	"example.com/moistheat/load/loadtest"
	"example.com/moistheat/units"
)

const folder = "examples/printed"

// named has the policies that files are named after before all others of the same needs.
var named = []string{"us-cdc-2003", "en-13060", "australia"}

// need is what one policy needs.
type need struct {
	policy  string
	record  []byte   // laid out
	members []string // in the order of the record
}

func main() {
	needs := quit.Or(all())
	files := filesOf(needs)
	old := quit.Or(filepath.Glob(folder + "/*.json"))
	for _, name := range old {
		quit.On(os.Remove(name))
	}
	for _, n := range needs {
		if files[n.policy] == n.policy {
			quit.Write(filepath.Join(folder, n.policy+".json"), n.record)
		}
	}
	readme := quit.Or(os.ReadFile("README.md"))
	quit.Write("README.md", quit.Or(into(readme, table(needs, files))))
}

// all returns what each built-in policy needs, those that name files first.
func all() ([]need, error) {
	var needs []need
	others := slices.DeleteFunc(load.Policies(), func(p string) bool { return slices.Contains(named, p) })
	for _, name := range slices.Concat(named, others) {
		policy, err := load.PolicyFor(name)
		if err != nil {
			return nil, err
		}
		n, err := of(policy)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		n.policy = name
		needs = append(needs, n)
	}
	return needs, nil
}

// of finds what a policy needs, from the first full record that it releases.
func of(p *load.Policy) (need, error) {
	for _, record := range full() {
		data, err := json.Marshal(record)
		if err != nil {
			return need{}, err
		}
		if !releases(p, data) {
			continue
		}
		var doc any
		in := json.NewDecoder(bytes.NewReader(data))
		in.UseNumber()
		if err := in.Decode(&doc); err != nil {
			return need{}, err
		}
		reduce.Document(doc, func() bool {
			less, err := json.Marshal(doc)
			return err == nil && releases(p, less)
		})
		if data, err = json.Marshal(doc); err != nil {
			return need{}, err
		}
		if record, err = load.Decode(data); err != nil { // in the order of its type
			return need{}, err
		}
		node, err := ordered.Of(record)
		if err != nil {
			return need{}, err
		}
		return need{record: []byte(node.Layout(short, 0, 0) + "\n"), members: slices.Compact(members(node, ""))}, nil
	}
	return need{}, fmt.Errorf("it releases no full record")
}

// releases reports whether a policy releases a record and every pack of it.
func releases(p *load.Policy, data []byte) bool {
	record, err := load.Decode(data)
	return err == nil && load.Check(record, p).Verdict.MayRelease
}

// full returns full records of one pouch with printed readings only, the usual first: at
// 132 °C for 4 min, at 134 °C for 3.5 min and for 18 min, and each with a biological
// test of its own.
func full() []*load.Record {
	var out []*load.Record
	for _, biological := range []bool{false, true} {
		for _, warm := range []func(*load.Record){func(*load.Record) {}, warmer, longer} {
			out = append(out, loadtest.PrintedOnly(warm, func(r *load.Record) {
				r.ID, r.Packs = "2026-0147", r.Packs[:1]
				if biological {
					r.Monitors.Biologicals = loadtest.Implant().Monitors.Biologicals
					r.Release.Time = r.Release.Time.Add(25 * time.Hour)
				}
			}))
		}
	}
	return out
}

func warmer(r *load.Record) {
	r.Cycle.Settings.Temperature = units.MustParse[units.TemperatureUnit]("134 Cel")
	r.Cycle.Settings.Hold = units.MustParse[units.DurationUnit]("210 s")
	r.Cycle.Printed.HoldTime = units.MustParse[units.DurationUnit]("215 s")
	r.Cycle.Printed.MinimumTemperature = units.MustParse[units.TemperatureUnit]("134.4 Cel")
	r.Cycle.Printed.MaximumTemperature = units.MustParse[units.TemperatureUnit]("135.6 Cel")
	r.Cycle.Printed.AbsolutePressure = units.MustParse[units.AbsolutePressureUnit]("311 kPa")
}

func longer(r *load.Record) {
	warmer(r)
	r.Cycle.Settings.Hold = units.MustParse[units.DurationUnit]("18 min")
	r.Cycle.Printed.HoldTime = units.MustParse[units.DurationUnit]("1085 s")
	for _, at := range []*time.Time{&r.Cycle.Ended, &r.Unloading.Time, &r.Release.Time} {
		*at = at.Add(15 * time.Minute)
	}
}

// short returns on one line what has no objects below it.
func short(n *ordered.Node, depth, column int) string {
	line := n.Line()
	if n.Kind != 0 && (depth == 0 || strings.Count(line, "{") > 1 || column+len(line) > 100) {
		return ""
	}
	return line
}

// members returns the ways to the values of a document, an element of a list by its kind
// or place where it has one.
func members(n *ordered.Node, at string) []string {
	if n.Kind == 0 || n.Get("unit") != nil {
		return []string{at}
	}
	var out []string
	for i, item := range n.Items {
		switch {
		case n.Kind == '{' && at == "":
			out = append(out, members(item, n.Names[i])...)
		case n.Kind == '{':
			out = append(out, members(item, at+"."+n.Names[i])...)
		default:
			which := item.Get("kind")
			if which == nil {
				which = item.Get("place")
			}
			of := ""
			if which != nil {
				of = strings.Trim(string(which.Text), `"`)
			}
			out = append(out, members(item, at+"["+of+"]")...)
		}
	}
	return out
}

// filesOf returns for each policy the one whose file holds its record.
func filesOf(needs []need) map[string]string {
	files, first := map[string]string{}, map[string]string{}
	for _, n := range needs {
		if first[string(n.record)] == "" {
			first[string(n.record)] = n.policy
		}
		files[n.policy] = first[string(n.record)]
	}
	return files
}

// table returns the members that every policy needs, and by file what its policies need
// beside them.
func table(needs []need, files map[string]string) string {
	common := slices.Clone(needs[0].members)
	for _, n := range needs {
		common = slices.DeleteFunc(common, func(m string) bool { return !slices.Contains(n.members, m) })
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Every policy: %s.\n\n| policies | also | record |\n|---|---|---|\n", list(common))
	for _, n := range needs {
		if files[n.policy] != n.policy {
			continue
		}
		var names []string
		for _, other := range needs {
			if files[other.policy] == n.policy {
				names = append(names, other.policy)
			}
		}
		also := slices.DeleteFunc(slices.Clone(n.members), func(m string) bool { return slices.Contains(common, m) })
		fmt.Fprintf(&b, "| %s | %s | [%s](%s/%s.json) |\n",
			strings.Join(names, ", "), list(also), n.policy, folder, n.policy)
	}
	return b.String()
}

// list writes members down, those of one object together.
func list(members []string) string {
	var out []string
	for i := 0; i < len(members); {
		above, last := parted(members[i])
		names := []string{last}
		for i++; i < len(members) && above != ""; i++ {
			next, name := parted(members[i])
			if next != above {
				break
			}
			names = append(names, name)
		}
		switch {
		case above == "":
			out = append(out, last)
		case len(names) == 1:
			out = append(out, above+"."+last)
		default:
			out = append(out, above+"{"+strings.Join(names, ", ")+"}")
		}
	}
	return "`" + strings.Join(out, "`, `") + "`"
}

// parted returns the object of a member, and its name in it.
func parted(member string) (above, name string) {
	i := strings.LastIndexByte(member, '.')
	return member[:max(i, 0)], member[i+1:]
}

// into puts the table between its marks.
func into(readme []byte, table string) ([]byte, error) {
	const begin, end = "<!-- least: written by internal/tools/least -->\n", "<!-- least ends -->\n"
	before, rest, has := strings.Cut(string(readme), begin)
	_, after, ends := strings.Cut(rest, end)
	if !has || !ends {
		return nil, fmt.Errorf("README.md has no marks for the table")
	}
	return []byte(before + begin + "\n" + table + "\n" + end + after), nil
}
