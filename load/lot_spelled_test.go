package load_test

import (
	"os"
	"strings"
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
)

// A lot counts as the one that the catalogue has, however a person typed it.
func TestLotOfAnotherSpelling(t *testing.T) {
	read := func(name string) string {
		data, err := os.ReadFile("../examples/checkload/clinic/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return string(data)
	}
	p := named(t, "us-cdc-2003")
	void := func(expires, typed string) bool {
		c, err := load.DecodeCatalogue([]byte(strings.Replace(read("catalogue.json"),
			`"2027-06-30"`, `"`+expires+`"`, 1)))
		if err != nil {
			t.Fatal(err)
		}
		f, err := c.Facts()
		if err != nil {
			t.Fatal(err)
		}
		r, err := load.Decode([]byte(strings.ReplaceAll(read("log.json"), `"I-12"`, `"`+typed+`"`)))
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range load.Check(f.Resolve(r, p), p).Findings {
			if x.Rule == "packaging.indicator.void" && x.Outcome == moistheat.Broken {
				return true
			}
		}
		return false
	}
	for _, typed := range []string{"I-12", "i-12", "I12", " I-12"} {
		if !void("2026-01-31", typed) {
			t.Errorf("%q: the indicators of an expired lot pass", typed)
		}
		if void("2027-06-30", typed) {
			t.Errorf("%q: the indicators of a good lot fail", typed)
		}
	}
	if void("2026-01-31", "I-13") {
		t.Error("I-13: another lot counts as I-12")
	}
}
