package scene_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"tankside/events/intake/lines"
)

// besideDigit is a digit next to d on the keyboard.
func besideDigit(r *rand.Rand, d byte) byte {
	const row = "1234567890"
	i := strings.IndexByte(row, d)
	if i == 0 || i < len(row)-1 && r.IntN(2) == 0 {
		return row[i+1]
	}
	return row[i-1]
}

// TestDigitSlips hits a wrong digit, once a line, in the lines of the invented incident,
// and counts how many of those that change the entry are asked about or marked, because
// what is known of the incident does not bear them out. No grammar can see the others:
// three per cent of benzene for four.
func TestDigitSlips(t *testing.T) {
	log, typed := night(t)
	r := rand.New(rand.NewPCG(7, 8))
	changed, caught, first, firstCaught := 0, 0, 0, 0
	for i, line := range typed {
		ctx := before(log, i)
		right := lines.Parse(ctx, line)
		for range 5 {
			at := digitAt(r, line)
			if at < 0 {
				break
			}
			slipped := line[:at] + string(besideDigit(r, line[at])) + line[at+1:]
			got := lines.Parse(ctx, slipped)
			if same(got, right) {
				continue
			}
			changed++
			leads := at == 0 || line[at-1] == ' '
			if leads {
				first++
			}
			if got.Ask != nil || got.Certainty != lines.Clear {
				caught++
				if leads {
					firstCaught++
				}
			}
		}
	}
	t.Logf("%d digit slips change the entry, %d (%.0f %%) are asked about or marked; of %d in the first digit of a number %.0f %%",
		changed, caught, 100*float64(caught)/float64(changed), first, 100*float64(firstCaught)/float64(first))
	if caught*100 < 53*changed {
		t.Errorf("%d of %d digit slips are seen, want at least 53 %%", caught, changed)
	}
}

func digitAt(r *rand.Rand, line string) int {
	var at []int
	for i := range line {
		if line[i] >= '0' && line[i] <= '9' {
			at = append(at, i)
		}
	}
	if len(at) == 0 {
		return -1
	}
	return at[r.IntN(len(at))]
}

func same(a, b lines.Reading) bool {
	if len(a.Drafts) != len(b.Drafts) {
		return false
	}
	for i := range a.Drafts {
		x, y := a.Drafts[i], b.Drafts[i]
		if x.Payload.Kind() != y.Payload.Kind() || x.Where != y.Where || !x.Occurred.At.Equal(y.Occurred.At) || a.Says != b.Says {
			return false
		}
	}
	return true
}
