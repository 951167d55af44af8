package lines

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"tankside/events"
)

// saidTime is the time that a line gives, if it gives one.
type saidTime struct {
	when  events.When
	given bool
	end   time.Time // of a span
	order events.Seq
	ask   *timeAsk
}

// timeAsk is a clock time that can be two instants, or none.
type timeAsk struct {
	text    string
	choices []timeChoice
}

type timeChoice struct {
	key, label string
	at         time.Time
}

const (
	// ahead is how far a clock time may lie ahead of the laptop's clock and still be
	// today's: clocks differ by some minutes (common practice, no source).
	ahead = 5 * time.Minute
	// aheadAsk is how far ahead of now a time may lie without a question.
	aheadAsk = 2 * time.Minute
	// soon is how far ahead a clock time may lie that is asked about, rather than taken
	// for that of the day before.
	soon = 30 * time.Minute
	// give is what "about" adds on both sides of a time (common practice, no source).
	give = 5 * time.Minute
)

// clock reads a time of day: 1422, 14:22, 14:22:30, :07.
type clock struct {
	hour, minute, second int
	minuteOnly           bool
	colon                bool
}

func clockOf(w string) (c clock, ok bool) {
	switch w = strings.TrimPrefix(w, "~"); w {
	case "midnight":
		return clock{colon: true}, true
	case "noon":
		return clock{hour: 12, colon: true}, true
	}
	if rest, pm := strings.CutSuffix(w, "pm"); strings.Contains(w, ":") && (pm || strings.HasSuffix(w, "am")) {
		c, ok = clockOf(strings.TrimSuffix(rest, "am"))
		if ok = ok && c.hour >= 1 && c.hour <= 12; ok {
			if c.hour %= 12; pm {
				c.hour += 12
			}
		}
		return c, ok
	}
	parts := strings.Split(w, ":")
	if len(parts) == 1 {
		if len(w) != 4 {
			return c, false
		}
		parts = []string{w[:2], w[2:]}
	} else {
		c.colon = true
	}
	var n [3]int
	for i, p := range parts {
		if i == 0 && p == "" && len(parts) == 2 {
			c.minuteOnly = true
			continue
		}
		v, err := strconv.Atoi(p)
		if err != nil || i > 2 || len(p) > 2 || len(p) < 2 && i > 0 || strings.ContainsAny(p, "+-") {
			return c, false
		}
		n[i] = v
	}
	c.hour, c.minute, c.second = n[0], n[1], n[2]
	return c, c.hour < 24 && c.minute < 60 && c.second < 60
}

// on is the clock time on the day of t, in its zone.
func (c clock) on(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, c.hour, c.minute, c.second, 0, t.Location())
}

// resolve puts a clock time on its day: the last such time that is not more than a few
// minutes ahead. Where that is not certain it says what to ask.
func (ctx *Context) resolve(c clock) (time.Time, *timeAsk) {
	now := ctx.here()
	if c.minuteOnly {
		c.hour = now.Hour()
		t := c.on(now)
		if t.After(now.Add(ahead)) {
			t = t.Add(-time.Hour)
		}
		return t, nil
	}
	t := c.on(now)
	if t.After(now.Add(ahead)) {
		t = c.on(now.AddDate(0, 0, -1))
	}
	if t.Hour() != c.hour || t.Minute() != c.minute {
		return ctx.inGap(c, t)
	}
	if other, twice := repeated(t); twice {
		return ctx.twice(t, other)
	}
	next := c.on(t.AddDate(0, 0, 1))
	if wait := next.Sub(now); wait > 0 && wait <= soon && now.Sub(t) > 12*time.Hour {
		return next, &timeAsk{
			text:    fmt.Sprintf("%s is %d min ahead. Enter = not yet, it is to come; Y = it was, %s.", next.Format("15:04"), int(wait.Minutes()+0.5), t.Format("2 Jan 15:04")),
			choices: []timeChoice{{EnterKey, "not yet, it is to come", next}, {"Y", "it was " + t.Format("2 Jan 15:04"), t}},
		}
	}
	return t, nil
}

// here is now on the clocks of the incident.
func (ctx *Context) here() time.Time {
	if ctx.Zone != nil {
		return ctx.Now.In(ctx.Zone)
	}
	return ctx.Now
}

// repeated returns the other instant with the clock time of t, where the clocks went
// back over it.
func repeated(t time.Time) (time.Time, bool) {
	for _, d := range []time.Duration{-time.Hour, time.Hour, -30 * time.Minute, 30 * time.Minute} {
		if o := t.Add(d); o.Format(time.DateTime) == t.Format(time.DateTime) {
			return o, true
		}
	}
	return time.Time{}, false
}

// twice asks which of two instants with one clock time is meant; the one nearer to now
// is kept.
func (ctx *Context) twice(a, b time.Time) (time.Time, *timeAsk) {
	if b.Before(a) {
		a, b = b, a
	}
	kept := a
	if b.Sub(ctx.Now).Abs() < a.Sub(ctx.Now).Abs() {
		kept = b
	}
	first, second := a.Format("MST"), b.Format("MST")
	return kept, &timeAsk{
		text: fmt.Sprintf("%s comes twice tonight. D = first (%s), S = second (%s); Enter = %s.", a.Format("15:04"), first, second, kept.Format("MST")),
		choices: []timeChoice{
			{EnterKey, "keep " + kept.Format("15:04 MST"), kept}, {"D", "first, " + first, a}, {"S", "second, " + second, b},
		},
	}
}

// inGap asks about a clock time that the clocks went over in spring. t is what comes of
// it by the offset of one side.
func (ctx *Context) inGap(c clock, t time.Time) (time.Time, *timeAsk) {
	asked := fmt.Sprintf("%02d:%02d", c.hour, c.minute)
	_, before := t.Add(-3 * time.Hour).Zone()
	_, after := t.Add(3 * time.Hour).Zone()
	gap := time.Duration(after-before) * time.Second
	wall := time.Date(t.Year(), t.Month(), t.Day(), c.hour, c.minute, c.second, 0, time.UTC)
	early := wall.Add(-gap).Add(-time.Duration(before) * time.Second).In(t.Location())
	late := wall.Add(gap).Add(-time.Duration(after) * time.Second).In(t.Location())
	return late, &timeAsk{
		text:    fmt.Sprintf("%s does not come tonight, the clocks went forward. Enter = %s; E = %s.", asked, late.Format("15:04"), early.Format("15:04")),
		choices: []timeChoice{{EnterKey, late.Format("15:04"), late}, {"E", early.Format("15:04"), early}},
	}
}

// ago reads "-3m", "-90s", "-1h".
func ago(w string) (time.Duration, bool) {
	rest, ok := strings.CutPrefix(w, "-")
	if !ok || rest == "" || !isDigit(rest[0]) {
		return 0, false
	}
	n := 0
	for n < len(rest) && isDigit(rest[n]) {
		n++
	}
	return span(rest[:n], rest[n:])
}

// span reads a number and its unit of time; minutes without one.
func span(number, unit string) (time.Duration, bool) {
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || v > 1e6 {
		return 0, false
	}
	switch unit {
	case "", "m", "min", "mins", "minute", "minutes":
		return time.Duration(v * float64(time.Minute)), true
	case "s", "sec", "secs", "second", "seconds":
		return time.Duration(v * float64(time.Second)), true
	case "h", "hr", "hrs", "hour", "hours":
		return time.Duration(v * float64(time.Hour)), true
	}
	return 0, false
}
