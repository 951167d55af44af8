package lines

import (
	"slices"
	"strconv"
	"strings"

	"tankside/events"
)

// other is a line with one spoken number written as it may be meant otherwise.
type other struct {
	from, to int    // bytes of the line
	text     string // in digits
	line     string
}

// spokenOthers are the other ways to take the spoken numbers of a line: "fifteen fifty" is
// 1550, 15:50, 15.50 or two numbers; "twenty nine eighty thirty ten" 2980 and 3010.
func spokenOthers(raw string) (out []other) {
	toks := lex(raw)
	for i := 0; i < len(toks); {
		if i > 0 && names[toks[i-1].word] && digitWords[toks[i].word] != "" {
			i++
			continue
		}
		_, n := spokenNumber(toks[i:])
		if n == 0 {
			i++
			continue
		}
		from, to := toks[i].from, toks[i+n-1].to
		groups := spokenGroups(toks[i : i+n])
		if len(groups) == 1 && len(groups[0]) == 2 && n == 2 && groups[0][1] > '0' {
			out = append(out, other{from, to, groups[0][:1] + "0." + groups[0][1:], raw[:from] + groups[0][:1] + "0." + groups[0][1:] + raw[to:]})
		}
		for _, text := range waysToSay(groups) {
			out = append(out, other{from, to, text, raw[:from] + text + raw[to:]})
		}
		i += n
	}
	return out
}

// spokenGroups are the numbers that a spoken number is made of, as they were said one
// after the other; nil where there is a point or a thousand, which says how they belong
// together.
func spokenGroups(toks []token) (out []string) {
	for i := 0; i < len(toks); i++ {
		text, n := "", 1
		switch w := toks[i].word; {
		case digitWords[w] != "":
			text = digitWords[w]
		case teenWords[w] != "":
			text = teenWords[w]
		case tensWords[w] != "" && i+1 < len(toks) && digitWords[toks[i+1].word] > "0":
			text, n = tensWords[w]+digitWords[toks[i+1].word], 2
		case tensWords[w] != "":
			text = tensWords[w] + "0"
		case w == "hundred" && len(out) > 0:
			out[len(out)-1] += "00"
			continue
		default:
			return nil
		}
		out = append(out, text)
		i += n - 1
	}
	return out
}

// waysToSay are the other ways to write what was said in groups.
func waysToSay(g []string) (out []string) {
	switch len(g) {
	case 2:
		out = append(out, g[0]+" "+g[1])
		if m, _ := strconv.Atoi(g[1]); len(g[0])+len(g[1]) >= 3 && len(g[1]) == 2 && m < 60 {
			if _, ok := clockOf(g[0] + ":" + g[1]); ok {
				out = append(out, g[0]+":"+g[1])
			}
		}
		out = append(out, g[0]+"."+g[1])
	case 3:
		out = append(out, g[0]+g[1]+" "+g[2], g[0]+" "+g[1]+g[2], g[0]+g[1]+"."+g[2])
	case 4:
		out = append(out, g[0]+g[1]+" "+g[2]+g[3])
	case 8:
		out = append(out, strings.Join(g[:4], "")+" "+strings.Join(g[4:], ""))
	}
	return out
}

// trouble is how much speaks against a reading.
func (r *Reading) trouble() (n int) {
	if r.Ask != nil {
		n += 2
	}
	if r.Certainty != Clear {
		n++
	}
	for _, d := range r.Drafts {
		n += 2 * len(slices.DeleteFunc(slices.Clone(d.Extra), func(p events.Pair) bool { return p.Key != "kept as said" }))
	}
	return n + len(r.Hints)
}

// alive reports whether a reading stands for itself: all of it understood, nothing asked.
func (r *Reading) alive() bool { return r.Certainty == Clear && r.Ask == nil }

// otherwise takes a line with spoken numbers as the only other way to take them that
// fits, where the first does not: what the last reading, the pair or the field bears out.
// The number as first read is offered with the completions.
func (ctx *Context) otherwise(raw string, r Reading) Reading {
	if r.alive() {
		return r
	}
	var alt Reading
	as, least, alone := "", r.trouble(), false
	for _, o := range spokenOthers(raw) {
		a := parse(ctx, o.line)
		if len(a.Drafts) == 0 || a.Certainty == Note || r.Certainty != Note && a.Drafts[0].Payload.Kind() != r.Drafts[0].Payload.Kind() {
			continue
		}
		switch n := a.trouble(); {
		case n < least:
			alt, as, least, alone = a, o.text, n, true
		case n == least:
			alone = false
		}
	}
	if !alone {
		return r
	}
	alt.Raw, alt.Certainty, alt.Assumed = raw, Guessed, []Mark{{len(raw), len(raw), as}}
	alt.Hints = append(alt.Hints, "Taken as "+as+".")
	if alt.Ask != nil {
		for _, c := range alt.Ask.Choices {
			for i := range c.Drafts {
				c.Drafts[i].Words = raw
			}
		}
	}
	for i := range alt.Drafts {
		alt.Drafts[i].Words = raw
	}
	return alt
}

// completeSpoken offers the other ways to take the spoken numbers of the line that are
// alive beside the first, written in digits.
func (ctx *Context) completeSpoken(line string, caret int, add func(from int, text, why string)) {
	others := spokenOthers(line[:caret])
	if len(others) == 0 {
		return
	}
	shown := ctx.otherwise(line[:caret], parse(ctx, line[:caret]))
	n := 0
	for _, o := range slices.Backward(others) {
		r := parse(ctx, o.line)
		if n < 2 && len(r.Drafts) > 0 && r.alive() && r.Says != shown.Says {
			add(o.from, o.text+line[o.to:caret], "or: "+r.Says)
			n++
		}
	}
	if last := others[len(others)-1]; slices.Contains(shown.Hints, "Taken as "+last.text+".") || shown.Certainty == Guessed && len(shown.Drafts) > 0 {
		for _, t := range speak(lex(line[:caret])) {
			if t.from == last.from && t.num != nil && parse(ctx, line[:last.from]+t.num.text+line[last.to:caret]).Says != shown.Says {
				add(last.from, t.num.text+line[last.to:caret], "together")
			}
		}
	}
}
