package history

import (
	"testing"

	"example.com/moistheat"
	"example.com/moistheat/load"
	"example.com/moistheat/load/calendar"
)

// Duties of a sealer or an incubator run from the day on which the catalogue begins with it to the
// day on which it ends, as those of a device do.
func TestDutiesOfListedSealersAndIncubators(t *testing.T) {
	due := func(entry, device string, test calendar.EventKind) DueState {
		c, err := load.DecodeCatalogue([]byte(`{"format":"moistheat.catalogue/1","id":"c",` + entry + `}`))
		if err != nil {
			t.Fatal(err)
		}
		f, err := c.Facts()
		if err != nil {
			t.Fatal(err)
		}
		h := history(t, "germany")
		h.UseCatalogue(f)
		for _, d := range h.Due(local("2026-03-09 08:00")) {
			if d.Device == device && d.Duty.Test == test {
				return d.State
			}
		}
		return ""
	}
	for _, c := range []struct {
		name, entry string
		want        DueState
	}{
		{"in use", `"sealers":[{"id":"SEAL-1","from":"2024-01-02","method":"heat"}]`, Overdue},
		{"as a device", `"devices":[{"id":"SEAL-1","from":"2024-01-02","kind":"sealer"}]`, Overdue},
		{"gone", `"sealers":[{"id":"SEAL-1","from":"2024-01-02","until":"2026-02-01","method":"heat"}]`, ""},
		{"gone as a device", `"devices":[{"id":"SEAL-1","from":"2024-01-02","until":"2026-02-01","kind":"sealer"}],
			"sealers":[{"id":"SEAL-1","from":"2024-01-02","method":"heat"}]`, ""},
		{"not there yet", `"sealers":[{"id":"SEAL-1","from":"2026-04-01","method":"heat"}]`, ""},
	} {
		if got := due(c.entry, "SEAL-1", calendar.RequalificationEvent); got != c.want {
			t.Errorf("%s: the requalification of the sealer is %q, want %q", c.name, got, c.want)
		}
	}
	c := &load.Catalogue{Format: load.CatalogueFormat, ID: "c", Incubators: []load.Incubator{{Entry: load.Entry{
		ID: "INC-1", From: moistheat.DateOf(local("2024-01-02 00:00"))}}}}
	f, err := c.Facts()
	if err != nil {
		t.Fatal(err)
	}
	if got := f.Machines(); len(got) != 1 || got[0].Commissioned != got[0].From || !got[0].From.IsValid() {
		t.Errorf("duties of an incubator do not run from its first day: %+v", got)
	}
}
