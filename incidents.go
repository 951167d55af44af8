// Package tankside holds what the program carries with it besides its code: the
// two invented incidents of the demonstration.
package tankside

import "embed"

// Incidents are the demonstration's incidents, "testdata/incidents/NAME.csv". Tests
// hold the projections to the right answers for the same files.
//
//go:embed testdata/incidents/*.csv
var Incidents embed.FS
