package ask

import (
	"reflect"
	"strconv"
	"strings"
	"sync"

	"example.com/moistheat"
)

// Nearest returns the pointer to the innermost value on the way along an RFC 6901
// pointer that is in the JSON form of v, so that a finding about something absent
// points to the place where it is missing.
func Nearest(v any, pointer string) string {
	at := reflect.ValueOf(v)
	done := 0
	for done < len(pointer) {
		seg, _, _ := strings.Cut(pointer[done+1:], "/")
		next, ok := member(at, seg)
		if !ok {
			break
		}
		at = next
		done += 1 + len(seg)
	}
	return pointer[:done]
}

// member returns the element or member of v that a pointer segment names, if JSON
// would write it.
func member(v reflect.Value, seg string) (reflect.Value, bool) {
	for v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return v, false
		}
		v = v.Elem()
	}
	switch v.Kind() {
	case reflect.Slice:
		i, err := strconv.Atoi(seg)
		if err != nil || i < 0 || i >= v.Len() {
			return v, false
		}
		return v.Index(i), true
	case reflect.Struct:
		m, known := membersOf(v.Type())[seg]
		if !known {
			return v, false
		}
		field := v.FieldByIndex(m.index)
		empty := field.IsZero() || field.Kind() == reflect.Slice && field.Len() == 0 // neither says anything
		return field, !m.optional || !empty
	}
	return v, false
}

// memberAt is where a struct has a member.
type memberAt struct {
	index    []int
	optional bool
}

var members sync.Map // what membersOf found, by type

// membersOf returns the members of a struct by their names in JSON.
func membersOf(t reflect.Type) map[string]memberAt {
	if found, studied := members.Load(t); studied {
		return found.(map[string]memberAt)
	}
	out := map[string]memberAt{}
	for _, f := range reflect.VisibleFields(t) {
		name, opts, _ := strings.Cut(f.Tag.Get("json"), ",")
		if _, taken := out[name]; f.IsExported() && !f.Anonymous && name != "" && !taken {
			out[name] = memberAt{f.Index, opts != ""}
		}
	}
	members.Store(t, out)
	return out
}

// Settle moves the pointers of undetermined findings to what is there of v.
func (l *List) Settle(v any) { Settle(l.Findings, v) }

// Settle is [List.Settle] for findings that are a part of a list.
func Settle(findings []moistheat.Finding, v any) {
	for i := range findings {
		if f := &findings[i]; f.Outcome == moistheat.Undetermined {
			f.Pointer = Nearest(v, f.Pointer)
		}
	}
}
