package lines

import (
	"tankside/events"
	"tankside/events/kinds"
)

// Number gives the drafts of a reading their ids, in order, and ties them.
func Number(drafts []events.Draft, id func() events.ID) {
	for i := range drafts {
		drafts[i].ID = id()
	}
	Tie(drafts)
}

// Tie names in a join that was made together with its second witness that witness: the
// draft before it. The drafts have their ids.
func Tie(drafts []events.Draft) {
	for i := range drafts {
		if k, ok := drafts[i].Payload.(kinds.Joined); ok && k.With == "" && i > 0 {
			k.With = drafts[i-1].ID
			drafts[i].Payload = k
		}
	}
}
