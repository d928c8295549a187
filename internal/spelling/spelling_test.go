package spelling

import "testing"

func TestAlike(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want bool
	}{
		{"S1", "S1", false}, // one name
		{"S1", "s1", true},
		{"S1", "S 1", true},
		{"S1", "S-1", true},
		{"S1", "S–1", true}, // en dash
		{"S1", "S−1", true}, // minus
		{"S1", "S_1", true},
		{"S1", " S1\t", true},
		{"S1", "Ｓ１", true},
		{"S1", "S\u200b1", true}, // zero-width space
		{"S1", "S\u00a01", true},
		{"STRASSE", "straße", false}, // another number of letters
		{"Ä1", "ä-1", true},
		{"S1", "S2", false},
		{"S1", "S10", false},
		{"S1", "Sl", false}, // letters that look alike are not a way of typing one
		{"-", " ", false},
		{"", "-", false},
	} {
		if got := Alike(tt.a, tt.b); got != tt.want {
			t.Errorf("Alike(%q, %q) = %v", tt.a, tt.b, got)
		}
		if got := Alike(tt.b, tt.a); got != tt.want {
			t.Errorf("Alike(%q, %q) = %v", tt.b, tt.a, got)
		}
	}
}

func TestNearest(t *testing.T) {
	names := []string{"WD-1", "SEAL-1", "bath"}
	for name, want := range map[string]string{"WD-2": "WD-1", "wd1": "WD-1", "SEAL1": "SEAL-1",
		"S9": "", "bat": "bath", "": ""} {
		if got := Nearest(name, names); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", name, got, want)
		}
	}
}
