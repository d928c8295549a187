package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// The files whose code reads the data, where an overlay lets them read it changed: the
// place, and what it becomes.
var dataReaders = [...][3]string{
	{"internal/ask/book.go", "Parse([]byte(*b.File))", "Parse(mutantData([]byte(*b.File)))"},
	{"load/report.go", "releaseData,", "mutantData(releaseData),"},
}

// dataSwitch returns the file named second in place of the one named first.
const dataSwitch = `
import (
	"bytes"
	"os"
)

func mutantData(data []byte) []byte {
	if old, err := os.ReadFile(os.Getenv("MUTANT_OLD")); err != nil || !bytes.Equal(old, data) {
		return data
	}
	data, err := os.ReadFile(os.Getenv("MUTANT_NEW"))
	if err != nil {
		panic(err)
	}
	return data
}
`

const releaseTable = "load/data/release.json"

// dataMutant is one change of one rule in a file of data.
type dataMutant struct {
	file, rule, change string
	text               []byte
}

func (m dataMutant) name() string { return fmt.Sprintf("%s %s: %s", m.file, m.rule, m.change) }

// lower is what an effect or a severity becomes.
var lower = map[string]string{"reject": "quarantine", "fault": "minor", "minor": "note"}

// changeRules returns every change of a file of rules: an effect left out or softened, a
// severity lowered, a waiver allowed or refused.
func changeRules(file string, text []byte) (out []dataMutant, err error) {
	var rules []json.RawMessage
	var doc map[string]json.RawMessage
	if err := errors.Join(json.Unmarshal(text, &doc), json.Unmarshal(doc["rules"], &rules)); err != nil {
		return nil, err
	}
	for i := range rules {
		add := func(change string, edit func(rule map[string]any)) {
			var rule map[string]any
			err = errors.Join(err, json.Unmarshal(rules[i], &rule))
			edit(rule)
			all := slices.Clone(rules)
			all[i], _ = json.Marshal(rule)
			list, _ := json.Marshal(all)
			changed, _ := json.Marshal(map[string]json.RawMessage{"format": doc["format"], "rules": list})
			out = append(out, dataMutant{file, rule["id"].(string), change, changed})
		}
		var r struct {
			Severity             string
			NoWaiver             bool
			Broken, Undetermined map[string]any
		}
		err = errors.Join(err, json.Unmarshal(rules[i], &r))
		if to := lower[r.Severity]; to != "" {
			add("severity "+to, func(rule map[string]any) { rule["severity"] = to })
		}
		add(fmt.Sprint("noWaiver ", !r.NoWaiver), func(rule map[string]any) { rule["noWaiver"] = !r.NoWaiver })
		for which, effect := range map[string]map[string]any{"broken": r.Broken, "undetermined": r.Undetermined} {
			for what, is := range effect {
				add(which+"."+what+" left out", func(rule map[string]any) { delete(rule[which].(map[string]any), what) })
				if to := lower[fmt.Sprint(is)]; to != "" {
					add(which+"."+what+" "+to, func(rule map[string]any) { rule[which].(map[string]any)[what] = to })
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b dataMutant) int { return strings.Compare(a.name(), b.name()) })
	return out, err
}

// changeRelease returns the table of releases once without each rule.
func changeRelease(text []byte) (out []dataMutant, err error) {
	var doc struct {
		Format string           `json:"format"`
		Rows   []map[string]any `json:"rows"`
	}
	if err := json.Unmarshal(text, &doc); err != nil {
		return nil, err
	}
	for _, row := range doc.Rows {
		rules, _ := row["rules"].([]any)
		for i, rule := range rules {
			row["rules"] = slices.Delete(slices.Clone(rules), i, i+1)
			changed, err := json.Marshal(doc)
			if err != nil {
				return nil, err
			}
			out = append(out, dataMutant{releaseTable, rule.(string), fmt.Sprint("left out of row ", row["row"]), changed})
		}
		row["rules"] = rules
	}
	return out, nil
}

// dataMutants returns the changes of every file of rules below the current folder, and
// those of the table of releases.
func dataMutants(only *regexp.Regexp) ([]dataMutant, error) {
	var all []dataMutant
	err := fs.WalkDir(os.DirFS("."), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.Name() != "rules.json" && path != releaseTable {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		list, err := changeRules(path, text)
		if path == releaseTable {
			list, err = changeRelease(text)
		}
		all = append(all, list...)
		return err
	})
	return slices.DeleteFunc(all, func(m dataMutant) bool { return !only.MatchString(m.name()) }), err
}

// rewriteData writes the changes of data that a pattern names into dir, with the overlay
// file that lets programs read them. They are tried with the vectors of the rule, and
// what these do not notice with the tests given.
func rewriteData(only, dir string) ([]mutant, string, error) {
	pattern, err := regexp.Compile(only)
	if err != nil {
		return nil, "", err
	}
	all, err := dataMutants(pattern)
	if err != nil {
		return nil, "", err
	}
	var mutants []mutant
	for i, m := range all {
		to := filepath.Join(dir, fmt.Sprint(i, ".json"))
		from, err := filepath.Abs(m.file)
		if err := errors.Join(err, os.WriteFile(to, m.text, 0o600)); err != nil {
			return nil, "", err
		}
		mutants = append(mutants, mutant{
			id: i + 1, kind: strings.Fields(m.change)[0], data: &m, env: []string{"MUTANT_OLD=" + from, "MUTANT_NEW=" + to},
		})
	}
	file, err := dataOverlay(dir)
	return mutants, file, err
}

// dataOverlay writes the readers of the data as they read it changed.
func dataOverlay(dir string) (string, error) {
	out := overlay{dir, map[string]string{}}
	for _, r := range dataReaders {
		text, err := os.ReadFile(r[0])
		if err != nil {
			return "", err
		}
		if bytes.Count(text, []byte(r[1])) != 1 {
			return "", fmt.Errorf("%s: want %q once", r[0], r[1])
		}
		f, err := parser.ParseFile(token.NewFileSet(), r[0], text, parser.PackageClauseOnly)
		if err != nil {
			return "", err
		}
		err = errors.Join(
			out.put(r[0], strings.Replace(string(text), r[1], r[2], 1)),
			out.put(filepath.Join(filepath.Dir(r[0]), "mutant_data.go"), "package "+f.Name.Name+"\n"+dataSwitch))
		if err != nil {
			return "", err
		}
	}
	return out.write()
}
