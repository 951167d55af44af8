package lines

import (
	"slices"
	"strings"
	"time"

	"tankside/events"
)

// dueElsewhere points out a truck that comes long before its hour while another is due,
// or that nobody ordered.
func dueElsewhere(l *line) {
	t := l.ctx.truck(l.value("truck"))
	if t == nil {
		if l.ctx.namesLike(l.value("truck")) {
			l.odd("%s was not ordered.", l.value("truck"))
		}
		return
	}
	at, ok := l.ctx.dueAt(t.ETA)
	if t.State != Expected || !ok || at.Sub(l.ctx.Now) < 30*time.Minute {
		return
	}
	for _, o := range l.ctx.Trucks {
		if due, ok := l.ctx.dueAt(o.ETA); ok && o.State == Expected && o.Name != t.Name && due.Before(l.ctx.Now.Add(30*time.Minute)) {
			l.odd("%s is due %s; %s was due %s.", t.Name, t.ETA, o.Name, o.ETA)
			return
		}
	}
}

// dueAt is the instant of a clock time that was promised: the nearest to now.
func (ctx *Context) dueAt(clockTime string) (time.Time, bool) {
	c, ok := clockOf(clockTime)
	if !ok || c.minuteOnly {
		return time.Time{}, false
	}
	best := c.on(ctx.here())
	for _, days := range []int{-1, 1} {
		if t := c.on(ctx.here().AddDate(0, 0, days)); t.Sub(ctx.Now).Abs() < best.Sub(ctx.Now).Abs() {
			best = t
		}
	}
	return best, true
}

// unlikeETA points out an hour that is past, that is far sooner than was promised, that a
// truck which is here has no use for, or that is finer than all were so far.
func unlikeETA(l *line) {
	t := l.ctx.truck(l.value("truck"))
	due, ok := l.ctx.dueAt(l.value("eta"))
	if !ok {
		return
	}
	at := l.ctx.Now
	if l.time.given && l.time.when.Form == events.Instant {
		at = l.time.when.At
	}
	was := time.Time{}
	if t != nil {
		was, _ = l.ctx.dueAt(t.ETA)
	}
	fine, n := false, 0
	for _, o := range l.ctx.Trucks {
		if c, ok := clockOf(o.ETA); ok {
			fine, n = fine || c.minute%5 != 0, n+1
		}
	}
	switch {
	case t != nil && t.State != Expected && l.typ.Kind == "eta_changed":
		l.odd("%s is %s.", t.Name, t.State)
	case due.Before(at.Add(-time.Minute)):
		l.odd("%s is past.", l.value("eta"))
	case l.typ.Kind == "eta_changed" && !was.IsZero() && due.Before(was.Add(-30*time.Minute)):
		l.odd("%s was due %s, later.", t.Name, t.ETA)
	case !fine && n > 1 && due.Minute()%5 != 0:
		l.odd("Due %s: so far all were to 5 min.", l.value("eta"))
	}
}

// namesLike reports whether trucks are known whose names begin with the same letter.
func (ctx *Context) namesLike(name string) bool {
	return name != "" && slices.ContainsFunc(ctx.Trucks, func(t Truck) bool { return t.Name[0] == name[0] })
}

// strangeTruck points out a truck that nobody named before.
func strangeTruck(l *line) {
	if th, ok := l.find(truckSort); ok && l.ctx.namesLike(th.name) && l.ctx.truck(th.name) == nil {
		l.odd("%s was not named before.", th.name)
	}
}

// unsignedTruck points out a truck that leaves without a signature while another that is
// here has one.
func unsignedTruck(l *line) {
	t := l.ctx.truck(l.value("truck"))
	if t == nil {
		return
	}
	signed := map[string]bool{}
	for _, e := range l.ctx.latest("custody_passed", lookBack) {
		signed[e.Where] = true
	}
	for _, o := range l.ctx.Trucks {
		if o.State == Here && signed[o.Name] && !signed[t.Name] {
			l.odd("Nobody signed for %s; somebody did for %s.", t.Name, o.Name)
			return
		}
	}
}

// strangeUnit points out a unit of which only another number is known.
func strangeUnit(l *line) {
	for i, t := range l.toks {
		if !unitNames[t.word] || i+1 >= len(l.toks) || !l.toks[i+1].num.numbersUnit() {
			continue
		}
		other := ""
		for _, u := range l.ctx.Units {
			word, n, _ := strings.Cut(strings.ToLower(u), " ")
			if word == t.word && n == l.toks[i+1].num.text {
				return
			}
			if word == t.word {
				other = u
			}
		}
		if other != "" {
			l.odd("So far %s was named, not %s %s.", other, t.word, l.toks[i+1].num.text)
		}
	}
}
