package corpus

import (
	"example.com/moistheat/internal/tools/ordered"
	"example.com/moistheat/load/loadtest"
)

// most is how long a line with a patch may get before its operations take lines of
// their own.
const most = 120

// Format writes a file of vectors in the one shape that all of them have: a member a
// line, and each operation of a longer patch on its own.
func Format(f *loadtest.File) ([]byte, error) {
	for _, v := range f.Vectors {
		if v.Patch == nil {
			v.Patch = []loadtest.Op{}
		}
	}
	n, err := ordered.Of(f)
	if err != nil {
		return nil, err
	}
	return []byte(n.Layout(short, 0, 0) + "\n"), nil
}

// short returns on one line what takes no more: all but the file, its lists, its vectors
// and their longer patches.
func short(n *ordered.Node, depth, _ int) string {
	line := n.Line()
	switch isList := n.Kind == '['; depth {
	case 0:
		return ""
	case 1:
		if isList && len(n.Items) > 0 {
			return ""
		}
	case 2:
		if n.Get("patch") != nil {
			return ""
		}
	case 3:
		if isList && len(n.Items) > 1 && len(line) >= most {
			return ""
		}
	}
	return line
}
