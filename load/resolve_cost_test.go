package load

import (
	"encoding/json"
	"fmt"
	"os"
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.com/moistheat"
)

func clinicFiles(t *testing.T) (*Catalogue, *Record) {
	t.Helper()
	data, err := os.ReadFile("../examples/checkload/clinic/catalogue.json")
	require.NoError(t, err)
	c, err := DecodeCatalogue(data)
	require.NoError(t, err)
	data, err = os.ReadFile("../examples/checkload/clinic/log.json")
	require.NoError(t, err)
	r, err := Decode(data)
	require.NoError(t, err)
	return c, r
}

// What a clinic does with its catalogue once it has facts of it changes nothing of them: an edit
// counts from the next [Catalogue.Facts] on, which has a digest of its own.
func TestFactsAreTheirOwn(t *testing.T) {
	c, r := clinicFiles(t)
	p, err := PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	f, err := c.Facts()
	require.NoError(t, err)
	report := func(f *Facts) string {
		data, err := json.Marshal(Explain(f.Resolve(r, p), p))
		require.NoError(t, err)
		return string(data)
	}
	before := report(f)
	c.Items[1].HeatTolerant = moistheat.No
	edited, err := c.Facts()
	require.NoError(t, err)
	assert.NotEqual(t, f.digest, edited.digest)
	assert.False(t, Check(edited.Resolve(r, p), p).Released())
	erase(reflect.ValueOf(c).Elem())
	assert.Error(t, c.Validate(), "nothing is left of it")
	assert.JSONEq(t, before, report(f))
	assert.False(t, Check(edited.Resolve(r, p), p).Released())
}

// erase sets every value that can be reached to zero where it stands.
func erase(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			erase(v.Elem())
		}
		return
	case reflect.Slice:
		for i := range v.Len() {
			erase(v.Index(i))
		}
		return
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				erase(v.Field(i))
			}
		}
	}
	if v.CanSet() && (v.Kind() != reflect.Struct || v.NumField() == 0 || !opened(v.Type())) {
		v.SetZero()
	}
}

// Asked of one pointer, a record says the same of where it came from as asked of all.
func TestOriginsAskedOneByOne(t *testing.T) {
	c, r := clinicFiles(t)
	f, err := c.Facts()
	require.NoError(t, err)
	resolved := f.Resolve(r, nil)
	all := resolved.Origins()
	assert.Greater(t, len(all), 100)
	for at, o := range all {
		for _, pointer := range []string{at, at + "/more"} {
			assert.Equal(t, origin(all, pointer), origin(resolved.origins([]string{pointer}), pointer), pointer)
		}
		assert.Equal(t, o, resolved.origins([]string{"/load", at})[at], at)
	}
	assert.Empty(t, resolved.origins([]string{"/load/date"}))
}

// What it costs to resolve a record follows from the record, not from how much the catalogue has,
// and what its check costs more than that of the record written out is bounded.
func TestCostOfCatalogue(t *testing.T) {
	c, r := clinicFiles(t)
	p, err := PolicyFor("us-cdc-2003")
	require.NoError(t, err)
	small, err := c.Facts()
	require.NoError(t, err)
	set, item := c.Sets[0], c.Items[0]
	for i := range 499 {
		item.ID, set.ID = fmt.Sprint("item ", i), fmt.Sprint("set ", i)
		set.Contents = []Content{{Item: item.ID, Count: 1}}
		c.Items, c.Sets = append(c.Items, item), append(c.Sets, set)
	}
	large, err := c.Facts()
	require.NoError(t, err)
	cost := func(f *Facts) float64 { return testing.AllocsPerRun(10, func() { f.Resolve(r, p) }) }
	assert.InDelta(t, cost(small), cost(large), 2)
	assert.Less(t, cost(large), 150.0)

	resolved := large.Resolve(r, p)
	data, err := json.Marshal(resolved)
	require.NoError(t, err)
	written, err := Decode(data)
	require.NoError(t, err)
	check := func(r *Record) float64 { return testing.AllocsPerRun(10, func() { Check(r, p) }) }
	assert.Less(t, check(resolved), check(written)*1.4)
}
