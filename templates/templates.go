// Package templates holds the words of the report and the style of its page, as
// files that are built into the program.
package templates

import "embed"

// Report holds the sections of the after-action report in the folder "report":
// Markdown by section, page.html and page.css.
//
//go:embed report
var Report embed.FS
