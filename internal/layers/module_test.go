package layers

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"strconv"
	"strings"
)

// file is what the rules look at in one Go file.
type file struct {
	path    string // from the module's root
	pkg     string // below internal/, or commands, cmd/…
	test    bool
	imports []imported
	uses    []use
}

// imported is one import; of ours the path is shortened like pkg.
type imported struct {
	path, name string
	ours       bool
}

// use is a selector on an imported package, rand.Float64.
type use struct{ pkg, name string }

// readModule parses every Go file of the module at fsys, those behind build
// tags included. It leaves out testdata and folders with a dot or an underscore
// in front, as the go command does.
func readModule(fsys fs.FS) ([]file, error) {
	module, err := moduleName(fsys)
	if err != nil {
		return nil, err
	}
	var files []file
	err = fs.WalkDir(fsys, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		base := path.Base(p)
		if d.IsDir() && p != "." && (base == "testdata" || base == "vendor" || strings.HasPrefix(base, ".") || strings.HasPrefix(base, "_")) {
			return fs.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(p, ".go") {
			return nil
		}
		f, err := readFile(fsys, p, module)
		files = append(files, f)
		return err
	})
	return files, err
}

func moduleName(fsys fs.FS) (string, error) {
	data, err := fs.ReadFile(fsys, "go.mod")
	if err != nil {
		return "", fmt.Errorf("find the module: %w", err)
	}
	for line := range strings.Lines(string(data)) {
		if name, ok := strings.CutPrefix(line, "module "); ok {
			return strings.TrimSpace(name), nil
		}
	}
	return "", fmt.Errorf("go.mod names no module")
}

func readFile(fsys fs.FS, p, module string) (file, error) {
	data, err := fs.ReadFile(fsys, p)
	if err != nil {
		return file{}, err
	}
	syntax, err := parser.ParseFile(token.NewFileSet(), p, data, 0)
	if err != nil {
		return file{}, fmt.Errorf("parse %s: %w", p, err)
	}
	f := file{path: p, pkg: strings.TrimPrefix(path.Dir(p), "internal/"), test: strings.HasSuffix(p, "_test.go"), uses: usesOf(syntax)}
	for _, spec := range syntax.Imports {
		imp, err := readImport(spec, module)
		if err != nil {
			return file{}, fmt.Errorf("parse %s: %w", p, err)
		}
		f.imports = append(f.imports, imp)
	}
	return f, nil
}

func readImport(spec *ast.ImportSpec, module string) (imported, error) {
	importPath, err := strconv.Unquote(spec.Path.Value)
	if err != nil {
		return imported{}, err
	}
	imp := imported{path: importPath, name: defaultName(importPath)}
	if spec.Name != nil {
		imp.name = spec.Name.Name
	}
	if rest, ok := strings.CutPrefix(importPath, module+"/"); ok {
		imp.path, imp.ours = strings.TrimPrefix(rest, "internal/"), true
	}
	return imp, nil
}
