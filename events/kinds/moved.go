package kinds

import "tankside/events"

// MovedFromKey is the key under which an entry says that it was typed into the log of
// another incident first: that incident's name and the entry's number there.
const MovedFromKey = "moved from"

// MovedFrom is where an entry was typed first, "" for one that was typed where it stands.
// Of one that was moved more than once it is the last place before this.
func MovedFrom(extra []events.Pair) (from string) {
	for _, p := range extra {
		if p.Key == MovedFromKey {
			from = p.Value
		}
	}
	return from
}
