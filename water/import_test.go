package water

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Importing the package does no work: no init function, and no package-level
// variable that is made by a call.
func TestImportDoesNoWork(t *testing.T) {
	set := token.NewFileSet()
	names, err := filepath.Glob("*.go")
	require.NoError(t, err)
	seen := 0
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(set, name, nil, 0)
		require.NoError(t, err)
		for _, decl := range file.Decls {
			if f, ok := decl.(*ast.FuncDecl); ok && f.Recv == nil {
				assert.NotEqual(t, "init", f.Name.Name)
			}
			g, ok := decl.(*ast.GenDecl)
			if !ok || g.Tok != token.VAR {
				continue
			}
			seen++
			ast.Inspect(g, func(n ast.Node) bool {
				switch x := n.(type) {
				case *ast.CallExpr:
					assert.Fail(t, "a call", set.Position(x.Pos()))
				case *ast.MapType:
					assert.Fail(t, "a map", set.Position(x.Pos()))
				}
				return true
			})
		}
	}
	assert.GreaterOrEqual(t, seen, 8, "the variables of the package")
}
