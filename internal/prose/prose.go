// Package prose has the few rules of English that sentences made from facts need.
package prose

import (
	"strconv"
	"strings"
)

// Capital returns s with a capital first letter.
func Capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// Plural returns a number of things, such as "1 day" and "2 days".
func Plural(n int, thing string) string {
	if n != 1 {
		thing += "s"
	}
	return strconv.Itoa(n) + " " + thing
}
