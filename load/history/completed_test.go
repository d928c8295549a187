package history

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
)

// What a line about a stored pack leaves out a later one completes; what a line says against it no
// other takes away, and one that says less takes nothing away.
func TestALaterLineCompletesAStoredPack(t *testing.T) {
	at := local("2026-03-10 12:00")
	opens := func(name string, lines ...func(*StoredPack)) Opening {
		h := history(t, name, good())
		for _, edit := range lines {
			s := putAway("r1", "P1")
			edit(s)
			h.AddStored(s)
		}
		return h.MayOpen("P1", at)
	}
	full := func(*StoredPack) {}
	less := func(s *StoredPack) { s.Dropped, s.LaidOut, s.Wrapped, s.Sterilized = 0, 0, 0, moistheat.Date{} }
	dropped := func(s *StoredPack) { s.Dropped = yes }
	droppedAlone := func(s *StoredPack) { less(s); s.Dropped = yes }
	for _, name := range []string{"us-cdc-2003", "germany"} {
		require.Equal(t, MayOpen, opens(name, full).Answer, name)
		require.Equal(t, AskFirst, opens(name, less).Answer, name)
		assert.Equal(t, MayOpen, opens(name, less, full).Answer, name)
		assert.Equal(t, MayOpen, opens(name, full, less).Answer, name)
		bad := opens(name, dropped).Answer
		require.NotEqual(t, MayOpen, bad, name)
		for _, lines := range [][]func(*StoredPack){{dropped, full}, {full, dropped}, {less, dropped}, {full, droppedAlone},
			{less, droppedAlone, full}} {
			assert.Equal(t, bad, opens(name, lines...).Answer, name)
		}
	}
	said := false
	for _, f := range opens("us-cdc-2003", less).Findings {
		if f.Rule == "load.storage.event" {
			said = true
			assert.Equal(t, []string{"/dropped"}, f.Answers)
		}
	}
	assert.True(t, said)
}

// An earlier look does not answer what a later one leaves out, nor one journey what another leaves out.
// A later look answers what an earlier one left out, and lines that give no day complete each other.
func TestAnEarlierLookDoesNotCompleteALaterOne(t *testing.T) {
	silent := func(s *StoredPack) { s.Dry, s.Intact, s.Dropped, s.LaidOut = 0, 0, 0, 0 }
	full, unfelt := func(*StoredPack) {}, func(s *StoredPack) { s.Dry = 0 }
	on := func(d moistheat.Date, edit func(*StoredPack)) func(*StoredPack) {
		return func(s *StoredPack) { s.Checked = d; edit(s) }
	}
	trip := func(s *StoredPack) { s.Carried, s.Proof, s.WithUnsterile = yes, yes, no }
	bare := func(s *StoredPack) { s.Carried = yes }
	ninth, later, none := day(2026, 3, 9), day(2026, 3, 19), moistheat.Date{}
	for _, name := range []string{"us-cdc-2003", "germany"} {
		for what, tt := range map[string]struct {
			lines []func(*StoredPack)
			want  OpeningAnswer
		}{
			"later look silent":       {[]func(*StoredPack){on(ninth, full), on(later, silent)}, AskFirst},
			"later look without dry":  {[]func(*StoredPack){on(ninth, full), on(later, unfelt)}, AskFirst},
			"dayless look, later one": {[]func(*StoredPack){on(none, full), on(later, silent)}, AskFirst},
			"earlier look silent":     {[]func(*StoredPack){on(ninth, silent), on(later, full)}, MayOpen},
			"put away, then seen":     {[]func(*StoredPack){on(none, silent), on(later, full)}, MayOpen},
			"same day":                {[]func(*StoredPack){on(later, full), on(later, silent)}, MayOpen},
			"second journey unproven": {[]func(*StoredPack){on(ninth, trip), on(later, bare)}, AskFirst},
			"first journey unproven":  {[]func(*StoredPack){on(ninth, bare), on(later, trip)}, AskFirst},
			"one journey":             {[]func(*StoredPack){on(ninth, bare), on(ninth, trip)}, MayOpen},
		} {
			for _, turned := range []bool{false, true} {
				h := history(t, name, good())
				lines := slices.Clone(tt.lines)
				if turned {
					slices.Reverse(lines)
				}
				for _, edit := range lines {
					s := putAway("r1", "P1")
					edit(s)
					h.AddStored(s)
				}
				assert.Equal(t, tt.want, h.MayOpen("P1", local("2026-03-20 12:00")).Answer,
					"%s %s %v", name, what, turned)
			}
		}
	}
	h := history(t, "us-cdc-2003", good())
	for _, edit := range []func(*StoredPack){silent, full} {
		s := putAway("r1", "P1")
		edit(s)
		s.Checked = none
		h.AddStored(s)
	}
	for _, f := range h.MayOpen("P1", local("2026-03-20 12:00")).Findings {
		assert.NotEqual(t, "load.storage.event", f.Rule, "lines without a day complete each other")
	}
}

// What is missing for a shelf life is named by its member.
func TestAShelfLifeNamesWhatIsMissing(t *testing.T) {
	for member, edit := range map[string]func(*StoredPack){
		"/sterilized": func(s *StoredPack) { s.Sterilized = moistheat.Date{} },
		"/wrapped":    func(s *StoredPack) { s.Wrapped = 0 },
	} {
		found := false
		for _, name := range []string{"us-cdc-2003", "germany", "australia"} {
			p := putAway("r1", "P1")
			edit(p)
			for _, f := range CheckStored(p, policy(t, name), day(2029, 3, 9)) {
				for _, a := range f.Answers {
					found = found || a == member
				}
			}
		}
		assert.True(t, found, member)
	}
}
