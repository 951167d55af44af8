package projections

import (
	"reflect"
	"slices"
	"sync"

	"tankside/events"
)

// Fold builds the state of an incident from its timeline. Of the folds each takes the
// live entries whose kinds name it in their Feeds, and no others.
func Fold(c *events.Catalogue, t *events.Timeline, options ...Option) *Incident {
	return Grow(c, nil, t, nil, options...)
}

// Grow is Fold where last was folded, with the same options, from a timeline that grew
// by the entries added into t (events.Timeline.With). A fold that none of them feeds is
// taken over as it is; the others are folded anew. A fold is never written to after it
// is folded, so that last stays what it was and may be read meanwhile. Without last all
// is folded.
func Grow(c *events.Catalogue, last *Incident, t *events.Timeline, added []*events.Entry, options ...Option) *Incident {
	inc := &Incident{AsOf: t.End(), KnownAt: t.View.KnownAt, Entries: len(t.Entries), Crew: UsualCrewRules}
	for _, o := range options {
		o(inc)
	}
	anew, product := inc.named(), true
	if last != nil {
		fed := fedBy(c, added)
		anew, product = inc.takeOver(last, fed), fed("volume")
	}
	inc.Quality.lines = c.Line
	inc.Review.log, inc.Review.line, inc.Volume.log = t, c.Line, t
	inc.fold(c, t, anew)
	if product {
		inc.Volume.was = sync.OnceValue(func() *asSaid { return asSaidOf(c, t, options) })
	}
	return inc
}

// fold has each of the folds take the entries that feed it; the quality of the log
// takes them all.
func (inc *Incident) fold(c *events.Catalogue, t *events.Timeline, folds []named) {
	fed := feeding(c, folds)
	for _, e := range t.Entries {
		if inc.Name == "" {
			inc.Name, inc.Mode = e.Incident, e.Mode
		}
		if !e.Desk() {
			inc.Quality.Apply(e)
		}
		if !e.Live() {
			continue
		}
		for _, f := range fed(e.Payload.Kind()) {
			f.Apply(e)
		}
	}
}

// takeOver takes the folds that no entry feeds from the incident as it was, and returns
// the others.
func (inc *Incident) takeOver(last *Incident, fed func(fold string) bool) (anew []named) {
	before := last.named()
	for i, f := range inc.named() {
		if fed(f.name) {
			anew = append(anew, f)
			continue
		}
		reflect.ValueOf(f.fold).Elem().Set(reflect.ValueOf(before[i].fold).Elem())
	}
	return anew
}

// fedBy returns which folds some of the entries feed.
func fedBy(c *events.Catalogue, entries []*events.Entry) func(fold string) bool {
	fed := map[string]bool{}
	for _, e := range entries {
		if typ := c.Type(e.Payload.Kind()); typ != nil {
			for _, name := range typ.Feeds {
				fed[name] = true
			}
		}
	}
	return func(fold string) bool { return fed[fold] }
}

// feeding returns which of the folds a kind feeds, looked up once a kind.
func feeding(c *events.Catalogue, folds []named) func(events.Kind) []Applier {
	known := map[events.Kind][]Applier{}
	return func(kind events.Kind) []Applier {
		fed, ok := known[kind]
		if typ := c.Type(kind); !ok && typ != nil {
			for _, f := range folds {
				if slices.Contains(typ.Feeds, f.name) {
					fed = append(fed, f.fold)
				}
			}
			known[kind] = fed
		}
		return fed
	}
}
