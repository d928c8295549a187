package loadtest

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestCountsOfDeclined(t *testing.T) {
	declined := fmt.Errorf("x: %w", ErrDeclined)
	for _, test := range []struct {
		name string
		errs map[Subject][]error
		all  bool
		says string
	}{
		{"nothing was run", nil, false, ""},
		{"nothing was declined", map[Subject][]error{SubjectRecord: {nil, errors.New("x")}}, false, ""},
		{"a kind was declined", map[Subject][]error{SubjectRecord: {nil}, SubjectHistory: {declined, declined}, SubjectStored: {nil, declined}}, false,
			`vectors declined: 2 of 2 of "history", 1 of 2 of "stored"`},
		{"all were declined", map[Subject][]error{SubjectRecord: {declined}, SubjectPlan: {declined}}, true,
			`vectors declined: 1 of 1 of "record", 1 of 1 of "plan"`},
	} {
		t.Run(test.name, func(t *testing.T) {
			n := counts{}
			for kind, errs := range test.errs {
				for _, err := range errs {
					n.add(kind, err)
				}
			}
			assert.Equal(t, test.all, n.allDeclined())
			assert.Equal(t, test.says, n.String())
		})
	}
}

// Of a name as long as a document the nearest is found at once: compared in full, these
// 16 MiB would take the test beyond its time.
func TestNearestOfALongName(t *testing.T) {
	long := "load.pack.wet" + strings.Repeat("x", 16<<20)
	assert.Equal(t, nearest(long[:100], ruleIDs(), 3), nearest(long, ruleIDs(), 3))
}
