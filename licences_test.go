package tankside_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// licences are the terms we accept, each by a sentence that no other has. The
// first that is found names the licence.
var licences = []struct{ name, sentence string }{
	{"Apache-2.0", "Apache License Version 2.0"},
	{"MPL-2.0", "Mozilla Public License Version 2.0"},
	{"Unlicense", "This is free and unencumbered software released into the public domain"},
	{"ISC", "Permission to use, copy, modify, and/or distribute this software for any purpose"},
	{"MIT", "Permission is hereby granted, free of charge, to any person obtaining a copy"},
	{"BSD", "Redistribution and use in source and binary forms, with or without modification, are permitted"},
}

var spaces = regexp.MustCompile(`[\s,]+`)

// licenceOf names the licence of a text, or "".
func licenceOf(text string) string {
	plain := spaces.ReplaceAllString(text, " ")
	for _, l := range licences {
		if strings.Contains(plain, spaces.ReplaceAllString(l.sentence, " ")) {
			return l.name
		}
	}
	return ""
}

// TestLicences looks at every module that enters the program or its tests, and
// holds that module's own licence file against the list.
func TestLicences(t *testing.T) {
	if _, err := os.ReadFile("go.mod"); err != nil { // read, so that a cached pass ends when it changes
		t.Fatal(err)
	}
	const format = `{{with .Module}}{{if not .Main}}{{.Path}} {{.Dir}}{{end}}{{end}}`
	cmd := exec.Command("go", "list", "-deps", "-test", "-f", format, "./...")
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	seen := map[string]bool{}
	for line := range strings.Lines(string(out)) {
		name, dir, found := strings.Cut(strings.TrimSpace(line), " ")
		if !found || seen[name] {
			continue
		}
		seen[name] = true
		if got := licenceIn(t, dir); got == "" {
			t.Errorf("%s: no licence we know in %s: read it, then allow it or leave the module out", name, dir)
		} else {
			t.Logf("%-10s %s", got, name)
		}
	}
}

// licenceIn names the licence that stands in a module's folder, or "".
func licenceIn(t *testing.T, dir string) string {
	t.Helper()
	for _, pattern := range []string{"LICEN[CS]E*", "COPYING*"} {
		files, err := filepath.Glob(filepath.Join(dir, pattern))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			if got := licenceOf(string(text)); got != "" {
				return got
			}
		}
	}
	return ""
}

func TestLicenceOf(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"Permission is hereby granted,\n  free of charge, to any person\nobtaining a copy", "MIT"},
		{"                                 Apache License\n                           Version 2.0, January 2004", "Apache-2.0"},
		{"GNU AFFERO GENERAL PUBLIC LICENSE\nVersion 3", ""},
		{"All rights reserved.", ""},
	} {
		if got := licenceOf(tt.text); got != tt.want {
			t.Errorf("licenceOf(%q) = %q, want %q", tt.text, got, tt.want)
		}
	}
}
