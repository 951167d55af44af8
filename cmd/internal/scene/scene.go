// Package scene writes down what an incident has taught, for reading typed lines
// against: the trucks that are here, who is in, which hole is open, what runs.
package scene

import (
	"time"

	"tankside/events"
	"tankside/events/intake/lines"
	"tankside/projections"
)

// At returns the scene of an incident at the hour now. The timeline is the one that
// inc was folded from; scribe is the role of whoever types.
func At(inc *projections.Incident, c *events.Catalogue, t *events.Timeline, now time.Time, scribe string) lines.Context {
	return lines.Context{Incident: inc.Name, Mode: inc.Mode, Scribe: scribe, Now: now, Zone: now.Location()}
}
