package ask

import "testing"

func TestNearest(t *testing.T) {
	type inner struct {
		A string `json:"a"`
		B string `json:"b,omitzero"`
	}
	type base struct {
		C *inner `json:"c,omitzero"`
	}
	type outer struct {
		base
		List   []inner `json:"list"`
		Maybe  []inner `json:"maybe,omitzero"`
		Hidden string  `json:"-"`
	}
	full := &outer{base: base{C: &inner{B: "x"}}, List: []inner{{}, {B: "y"}}, Maybe: []inner{}}
	check := func(of *outer, pointer, want string) {
		t.Helper()
		if got := Nearest(of, pointer); got != want {
			t.Errorf("%q: got %q, want %q", pointer, got, want)
		}
	}
	for pointer, want := range map[string]string{
		"":             "",
		"/list":        "/list",
		"/list/0":      "/list/0",
		"/list/0/a":    "/list/0/a", // required: written although it is zero
		"/list/0/b":    "/list/0",
		"/list/1/b":    "/list/1/b",
		"/list/2":      "/list",
		"/list/2/b":    "/list",
		"/list/x":      "/list",
		"/list/-1":     "/list",
		"/maybe":       "", // an empty list says no more than one that is not there
		"/c/b":         "/c/b",
		"/c/b/deeper":  "/c/b",
		"/nothing":     "",
		"/Hidden":      "",
		"/nothing/at":  "",
		"/list/1/none": "/list/1",
	} {
		check(full, pointer, want)
	}
	empty := &outer{}
	check(empty, "/c/b", "")
	check(empty, "/maybe/0", "")
	check(empty, "/list/0", "/list")
}
