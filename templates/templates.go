// Package templates holds the words of the report and the console and the style of
// their pages, as files that are built into the program.
package templates

import "embed"

// Report holds the sections of the after-action report in the folder "report":
// Markdown by section, page.html and page.css.
//
//go:embed report
var Report embed.FS

// Console holds the pages of the scribe's console in the folder "console".
//
//go:embed console
var Console embed.FS

// Static holds what the pages of the console load, in the folder "static": style,
// scripts, and below "vendor" what comes from outside, with its licence.
//
//go:embed static
var Static embed.FS
