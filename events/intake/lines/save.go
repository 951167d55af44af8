package lines

import (
	"tankside/events"
	"tankside/events/kinds"
)

// Number gives the drafts of a reading their ids, in order. A join made together with its
// second witness names it here: the entry before it.
func Number(drafts []events.Draft, id func() events.ID) {
	for i := range drafts {
		drafts[i].ID = id()
		if k, ok := drafts[i].Payload.(kinds.Joined); ok && k.With == "" && i > 0 {
			k.With = drafts[i-1].ID
			drafts[i].Payload = k
		}
	}
}
