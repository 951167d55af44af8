package projections

import (
	"encoding/json"
	"time"
)

// State is an incident as its JSON shows it. The keys are stable; new ones may be
// added. Lists are never null, and what is unknown is null beside what is missing.
type State struct {
	Incident string     `json:"incident"`
	Mode     string     `json:"mode"`
	AsOf     *time.Time `json:"as_of"`
	KnownAt  *time.Time `json:"known_at"`
	Entries  int        `json:"entries"`

	Weather []WeatherRead `json:"weather"`

	Due      []struct{} `json:"due"`
	Findings []struct{} `json:"findings"`
}

// State returns what the incident's JSON shows.
func (inc *Incident) State() State {
	return State{
		Incident: inc.Name, Mode: modeName(string(inc.Mode)), Entries: inc.Entries,
		AsOf: said(inc.AsOf), KnownAt: said(inc.KnownAt),
		Weather:  list(inc.Weather.Reads),
		Due:      []struct{}{},
		Findings: []struct{}{},
	}
}

// MarshalJSON writes the state.
func (inc *Incident) MarshalJSON() ([]byte, error) { return json.Marshal(inc.State()) }

func modeName(mode string) string {
	if mode == "" {
		return "actual"
	}
	return mode
}

// said returns nil for a time nobody gave.
func said(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}

// list keeps an empty list from being written as null.
func list[T any](l []T) []T {
	if l == nil {
		return []T{}
	}
	return l
}
