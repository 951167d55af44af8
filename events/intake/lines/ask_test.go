package lines

import (
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// TestAsks holds what is asked before a line is kept, and what the other answers make
// of it. Enter always keeps what was typed.
func TestAsks(t *testing.T) {
	for _, tt := range []struct {
		name, scene, line string
		asks              string // part of the question
		key, becomes      string // an answer and what it makes of the line
	}{
		{"litres", "litres", "pump off 3537", "C3 holds 1,000 gal. 3,537 gal went out of it? Enter = keep as typed and mark doubtful; L = litres (934 gal).", "L", "pump_off | C3 to R3A | leg=L5; meter=3537 L"},
		{"back", "", "r1 meter 638", "638 is less than the last reading, 675.", "", ""},
		{"rate", "", "r1 meter 2964", "That is 2,289 gal in 8 min; this leg runs 42 a minute.", "", ""},
		{"digits changed about", "", "r1 meter 9812", "this leg runs 42 a minute.", "", ""},
		{"one digit", "", "r1 meter 2012", "S = 1012?", "S", "meter_read |  | leg=L1; reads=1012"},
		{"out already", "", "pair 3 out", "Pair 3 is out already, by the log. Out again? Add an in-time (pair 3 in at ....) or Enter = keep as typed.", "", ""},
		{"never in", "", "pair 7 out", "Pair 7 was never logged in. Add an in-time (pair 7 in at ....) or Enter = keep; the board will show in-time unknown.", "", ""},
		{"in twice", "", "pair 1 in 2980 3010", "Pair 1 is in since 23:05. In again?", "O", "out_hot |  | pair=1; P1A=2980; P1B=3010"},
		{"not drilled", "", "plugged c2", "No open hole in C2 is logged.", "", ""},
		{"before the mishap", "", "foamed 1950", "19:50 is before the mishap, 20:31.", "", ""},
		{"ahead", "", "foamed 2334", "23:34 is 4 min ahead of now, 23:30.", "", ""},
		{"bad bond", "nobonds", "pump on c5 to r2", "R2's bond last read 1850 ohm. Pump on?", "", ""},
		{"no bond", "", "pump on c5 to r2", "No bond reading of R2 is logged. Pump on?", "", ""},
		{"no ground", "noground", "c5 liquid hole 3 in", "No ground reading is logged yet.", "", ""},
		{"over room", "noroom", "r1 meter 1012", "R1 had room for 100 gal more. 337 more went into it?", "", ""},
		{"bar", "outside", "pair 1 in 205 207", "205 psi? B = bar (2973 psi); Enter = keep as psi.", "B", "in_hot |  | pair=1; P1A=205 bar; P1B=207 bar"},
		{"over usable", "", "r1 sticks 4850", "R1 can take 3,800 gal. The stick says 4,850?", "", ""},
		{"bounds", "", "lel 220", "LEL cannot read 220 %. T = 22.0; O = over range; Enter = keep 220 as doubtful.", "O", "air_read |  | over_range=LEL"},
		{"which hole", "twoholes", "plugged c5", "C5 has 2 open holes. Enter = C5-L; B = C5-V.", "B", "hole_plugged | C5 | hole=C5-V"},
		{"second witness", "", "safety says pump off 1012", "same as 71? Enter joins as second witness, N keeps apart.", "N", "pump_off | C4 to R1 | leg=L1; meter=1012"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			ctx := night()
			scenes[tt.scene](&ctx)
			r := Parse(ctx, tt.line)
			if r.Ask == nil || !strings.Contains(r.Ask.Text, tt.asks) {
				t.Fatalf("%q asks %+v, want %q (becomes %s)", tt.line, r.Ask, tt.asks, becomes(r.Drafts))
			}
			if r.Ask.Choices[0].Key != EnterKey || len(r.Ask.Choices[0].Drafts) == 0 {
				t.Errorf("the first choice does not keep the line: %+v", r.Ask.Choices[0])
			}
			for _, c := range r.Ask.Choices {
				for _, d := range c.Drafts {
					if d.Words != tt.line {
						t.Errorf("%s: words %q, want the line as typed", c.Key, d.Words)
					}
				}
				if got := becomes(c.Drafts); c.Key == tt.key && got != tt.becomes {
					t.Errorf("%s: %s, want %s", c.Key, got, tt.becomes)
				}
			}
			has := func(c Choice) bool { return c.Key == tt.key }
			if tt.key != "" && !slices.ContainsFunc(r.Ask.Choices, has) {
				t.Errorf("no answer %s in %+v", tt.key, r.Ask.Choices)
			}
		})
	}
}

// TestDoubtIsKept holds that what was asked stands in the entry that Enter keeps.
func TestDoubtIsKept(t *testing.T) {
	r := Parse(night(), "r1 meter 2964")
	kept := r.Ask.Choices[0].Drafts[0]
	if !slices.ContainsFunc(kept.Extra, func(p events.Pair) bool { return p.Key == "doubtful" && strings.Contains(p.Value, "42 a minute") }) {
		t.Errorf("kept without its doubt: %v", kept.Extra)
	}
	joined := Parse(night(), "safety says pump off 1012").Ask.Choices[0].Drafts
	if k, ok := joined[1].Payload.(kinds.Joined); !ok || k.Entry != id(71) || k.With != "" {
		t.Errorf("the second witness becomes %+v, want it joined to entry 71", joined[1].Payload)
	}
}

// TestMessages holds what a line is told that cannot be taken as it stands.
func TestMessages(t *testing.T) {
	for _, tt := range []struct{ line, says, becomes string }{
		{"bond r9 1850", "No R9 here. R1, R2, R3? Keeping as a note.", "note |  |"},
		{"pump 60 psi bar", "psi or bar? One unit per number.", ""},
		{"at 2575", "25:75 is not a clock time. If it is a reading, say of what.", "note |  |"},
		{"plugd c5", "plugd -> plugged? Tab takes it.", "hole_plugged | C5 | hole=C5-L"},
		{"fix 9999: 12", "There is no entry 9999; last is 181.", "note |  |"},
		{"strike 9999", "There is no entry 9999; last is 181.", "note |  |"},
		{"rod 1 in 5 ft", "G1 is driven already.", ""},
		{"rod 4 in 5 ft", "The next rod would be G3.", ""},
		{"p1 rehab 98 102", "Pair 1 is in.", ""},
		{"p2 rehab 98 102", "Pair 2 is in rehab already.", ""},
		{"p3 cleared 92 88", "Pair 3 is not logged in rehab.", ""},
		{"p3 rehab 02 88", "A pulse of 2?", ""},
		{"bill c1 2500 c2 1400 c3 950 c4 1300 c5 2450 total 8700", "The 5 compartments add up to 8,600 gal, the total says 8,700.", ""},
		{"rod 1 38 ohms", "38 ohm is over the limit of 25 ohm.", ""},
	} {
		r := Parse(night(), tt.line)
		if !strings.Contains(strings.Join(r.Hints, "\n"), tt.says) {
			t.Errorf("%q says %q, want %q", tt.line, r.Hints, tt.says)
		}
		if got := becomes(r.Drafts); tt.becomes != "" && got != tt.becomes {
			t.Errorf("%q becomes %s, want %s", tt.line, got, tt.becomes)
		}
	}
}

// TestNumberAlonePutsRight holds that a number alone is that of the last entry, in the unit
// it was said in, also where an entry has that number.
func TestNumberAlonePutsRight(t *testing.T) {
	for _, tt := range []struct {
		last events.Payload
		line string
		want string
	}{
		{kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](12)}, "fix last: 14", "field=LEL; was=12 %; now=14 %"},
		{kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](12)}, "no, 13", "field=LEL; was=12 %; now=13 %"},
		{kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](12), Benzene: quantity.Of[quantity.PPM](3)}, "fix last: 14", ""},
	} {
		ctx := night()
		ctx.Entries = append(ctx.Entries, Entry{Seq: 182, ID: id(182), At: at("23:31"), Payload: tt.last, Line: told("Air read.")})
		want := "note |  |"
		if tt.want != "" {
			want = "correction |  | entry=" + string(id(182)) + "; " + tt.want
		}
		if got := becomes(Parse(ctx, tt.line).Drafts); got != want {
			t.Errorf("%q becomes %s, want %s", tt.line, got, want)
		}
		ctx.Entries = append(ctx.Entries, Entry{Seq: 183, ID: id(183), At: at("23:31"), Payload: kinds.Correction{Entry: id(182)}, Line: told("Put right.")})
		if got := becomes(Parse(ctx, tt.line).Drafts); got != want {
			t.Errorf("%q behind a correction becomes %s, want %s", tt.line, got, want)
		}
	}
}

func TestPutRight(t *testing.T) {
	for _, tt := range []struct{ line, becomes string }{
		{"fix 71: 1021", "correction |  | entry=" + string(id(71)) + "; field=meter; was=1012 gal; now=1021"},
		{"fix 71 at 2329", "correction |  | entry=" + string(id(71)) + "; field=time; was=2025-10-14T23:30:00-05:00; now=2025-10-14T23:29:00-05:00"},
		{"no, 3357", "correction |  | entry=" + string(id(181)) + "; field=meter; was=3537 gal; now=3357"},
		{"strike 71 because told twice", "struck |  | entry=" + string(id(71)) + "; why=told twice"},
		{"take back last", "struck |  | entry=" + string(id(181))},
		{"same as 71", "joined |  | entry=" + string(id(71)) + "; with=" + string(id(181))},
		{"note driver walking about", "note |  |"},
	} {
		r := Parse(night(), tt.line)
		if got := becomes(r.Drafts); got != tt.becomes {
			t.Errorf("%q becomes %s, want %s", tt.line, got, tt.becomes)
		}
	}
}
