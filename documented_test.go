package tankside_test

import (
	"fmt"
	"go/ast"
	"maps"
	"slices"
)

// packageComments lists the packages that do not say what they are for.
func packageComments(tree []source) []string {
	silent := map[string]string{}
	for _, s := range tree {
		if s.isTest() {
			continue
		}
		if _, seen := silent[s.folder()]; !seen {
			silent[s.folder()] = s.file.Name.Name
		}
		if s.file.Doc != nil {
			silent[s.folder()] = ""
		}
	}
	var faults []string
	for _, folder := range slices.Sorted(maps.Keys(silent)) {
		if name := silent[folder]; name != "" {
			faults = append(faults, fmt.Sprintf("%s: package %s has no comment: say what it is for", folder, name))
		}
	}
	return faults
}

// undocumented lists the exported names that carry no comment.
func undocumented(tree []source) []string {
	var faults []string
	for _, s := range tree {
		if s.isTest() {
			continue
		}
		for _, d := range s.file.Decls {
			for _, n := range silentNames(d) {
				faults = append(faults, fmt.Sprintf("%s: %s is exported and has no comment", s.at(d.Pos()), n))
			}
		}
	}
	return faults
}

// silentNames gives the exported names of one declaration without a comment.
func silentNames(d ast.Decl) []string {
	switch d := d.(type) {
	case *ast.FuncDecl:
		if name, exported := funcName(d); exported && d.Doc == nil {
			return []string{name}
		}
	case *ast.GenDecl:
		var names []string
		for _, spec := range d.Specs {
			names = append(names, silentSpec(d, spec)...)
		}
		return names
	}
	return nil
}

// funcName is the name of a function, or of a method with its type, and whether
// another package can reach it.
func funcName(f *ast.FuncDecl) (string, bool) {
	if f.Recv == nil {
		return f.Name.Name, f.Name.IsExported()
	}
	on := f.Recv.List[0].Type
	for {
		switch t := on.(type) {
		case *ast.StarExpr:
			on = t.X
		case *ast.IndexExpr:
			on = t.X
		case *ast.IndexListExpr:
			on = t.X
		case *ast.Ident:
			return t.Name + "." + f.Name.Name, t.IsExported() && f.Name.IsExported()
		default:
			return f.Name.Name, false
		}
	}
}

// silentSpec gives the exported names of one type or value without a comment. A
// value may be spoken for by a comment at the end of its line or over its group;
// a type in a group must have its own.
func silentSpec(d *ast.GenDecl, spec ast.Spec) []string {
	alone := len(d.Specs) == 1
	switch spec := spec.(type) {
	case *ast.TypeSpec:
		if spec.Name.IsExported() && spec.Doc == nil && spec.Comment == nil && (d.Doc == nil || !alone) {
			return []string{spec.Name.Name}
		}
	case *ast.ValueSpec:
		if spec.Doc != nil || spec.Comment != nil || d.Doc != nil {
			return nil
		}
		var names []string
		for _, n := range spec.Names {
			if n.IsExported() {
				names = append(names, n.Name)
			}
		}
		return names
	}
	return nil
}
