package lines

import (
	"strings"

	"tankside/events"
)

// teller is who told it, and by what way.
type teller struct {
	role    string
	channel events.Channel
	device  string
}

// roles are the words that stand for a role, longest first where one begins another.
var roles = []struct{ words, role string }{
	{"safety officer", "Safety Officer"}, {"safety", "Safety Officer"}, {"iso", "Safety Officer"},
	{"incident commander", "IC"}, {"command", "IC"}, {"ic", "IC"},
	{"hazmat group supervisor", "Hazmat Group Supervisor"}, {"hazmat supervisor", "Hazmat Group Supervisor"}, {"hazmat sup", "Hazmat Group Supervisor"},
	{"entry leader", "Entry leader"}, {"entry", "Entry leader"}, {"grounding leader", "Grounding leader"}, {"grounding", "Grounding leader"},
	{"transfer leader", "Transfer leader"}, {"transfer", "Transfer leader"}, {"foam leader", "Foam leader"},
	{"monitoring leader", "Monitoring leader"}, {"monitoring", "Monitoring leader"}, {"decon leader", "Decon leader"},
	{"stabilisation leader", "Stabilisation leader"}, {"stabilization leader", "Stabilisation leader"}, {"stabilisation", "Stabilisation leader"},
	{"wrecker boss", "Stabilisation leader"}, {"wreckers", "Stabilisation leader"},
	{"recovery rep", "Recovery company rep"}, {"recovery company rep", "Recovery company rep"}, {"recovery company", "Recovery company rep"},
	{"environmental duty officer", "Environmental duty officer"}, {"duty officer", "Environmental duty officer"},
	{"driver", "Driver"}, {"dispatch", "Dispatch"}, {"staging", "Staging"}, {"rehab", "Rehab"}, {"medic", "Medic"}, {"scribe", "Scribe"},
}

// saysWords follow a role that tells.
var saysWords = wordSet("says said reports reported relays relayed tells calls called")

// findTeller takes the teller off the line: "from safety", "safety says", "runner",
// "device M2".
func (l *line) findTeller() {
	l.teller.channel = events.Typed
	l.byWay()
	for i, t := range l.toks {
		if t.used {
			continue
		}
		if t.word == "from" {
			if role, n := l.roleAt(i + 1); n > 0 && (i+1+n == len(l.toks) || l.toks[i+n].ends || i == 0) {
				l.teller.role = role
				l.spend(i, n+1)
				return
			}
		}
		if i > 0 && !l.toks[i-1].used {
			continue
		}
		role, n := l.roleAt(i)
		switch {
		case n == 0 || i+n >= len(l.toks):
		case saysWords[l.toks[i+n].word]:
			l.teller.role = role
			l.spend(i, n+1)
			return
		case l.toks[i+n].word == "stops" || l.toks[i+n].word == "orders" || l.toks[i+n-1].ends && i == fillers(l.toks):
			l.teller.role = role // who does it tells it: "safety stops", "safety: ..."
			l.spend(i, n)
			return
		}
	}
}

// byWay takes "runner" or "device M2" off the beginning or the end.
func (l *line) byWay() {
	for _, i := range []int{0, len(l.toks) - 1, len(l.toks) - 2} {
		if i < 0 || i >= len(l.toks) || l.toks[i].used {
			continue
		}
		last := i == len(l.toks)-1
		switch w := l.toks[i].word; {
		case w == "runner" && (i == 0 || last):
			l.teller.channel, l.teller.role = events.Runner, "Runner"
			l.spend(i, 1)
			if i == 0 && len(l.toks) > 1 && (l.toks[1].word == "slip" || saysWords[l.toks[1].word]) {
				l.spend(1, 1)
			}
			return
		case w == "device" && i+1 < len(l.toks):
			name := strings.ToUpper(l.toks[i+1].word)
			l.teller = teller{role: name, channel: events.Device, device: name}
			l.spend(i, 2)
			return
		}
	}
}

// roleAt reads a role at token i and says how many tokens it is. A pair can tell too.
func (l *line) roleAt(i int) (role string, n int) {
	if i >= len(l.toks) {
		return "", 0
	}
	for _, r := range l.ctx.Roles {
		if m := matches(l.toks[i:], strings.ToLower(r)); m > n {
			role, n = r, m
		}
	}
	for _, r := range roles {
		if m := matches(l.toks[i:], r.words); m > n {
			role, n = r.role, m
		}
	}
	if n == 0 {
		if name, s, m := afterName(l, i); m > 0 && s == pairSort {
			return "Pair " + name, m
		}
	}
	return role, n
}
