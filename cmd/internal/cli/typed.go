package cli

import (
	"fmt"
	"io"
	"math"
	"strings"

	"tankside/events/quantity"
)

// typed reads the amounts that were typed as flags of a calculator.
type typed struct {
	err error // of the first flag that cannot be read
}

// flag reads an amount into a value and its doubt, which stays as it is where the
// flag states none. A range counts as its middle, anything in it being as likely.
func flag[Q quantity.Quantity](t *typed, name, text string, value, doubt *Q) {
	if text == "" || t.err != nil {
		return
	}
	a, err := quantity.Parse[Q](text)
	switch {
	case err != nil:
	case a.Words != "":
		err = fmt.Errorf("%q: what does %q mean? give a number, its unit and its doubt, such as \"38 ± 0.5 %s\"", text, a.Words, quantity.ScaleOf[Q]().Canonical())
	case a.Qual == quantity.Over || a.Qual == quantity.Under || a.Qual == quantity.UpTo:
		err = fmt.Errorf("%q is a bound; give a number or a range such as \"36 to 40 %s\"", text, quantity.ScaleOf[Q]().Canonical())
	}
	if err != nil {
		t.err = fmt.Errorf("--%s: %w", name, err)
		return
	}
	*value = a.Value()
	if low, high := a.Interval(); high > low {
		*doubt = (high - low) / Q(math.Sqrt(12)) // JCGM 100 (GUM), 4.3.7
	}
	if u := a.StdErr(); u > 0 {
		*doubt = u
	}
}

// certain reads an amount whose doubt is not reckoned with: it is refused rather than
// dropped.
func certain[Q quantity.Quantity](t *typed, name, text string, value *Q) {
	var doubt Q
	flag(t, name, text, value, &doubt)
	if t.err == nil && doubt > 0 {
		t.err = fmt.Errorf("--%s: %q: a doubt is not reckoned with here; give one number, and try the low and the high one after it", name, text)
	}
}

// cautioned writes what was taken for want of better and what an answer is worth, in
// lines that fit a terminal.
func cautioned(w io.Writer, taken []string, caution string) error {
	text := strings.ToUpper(caution[:1]) + caution[1:] + "."
	if len(taken) > 0 {
		text = "Taken: " + strings.Join(taken, "; ") + ".\n" + text
	}
	for paragraph := range strings.SplitSeq(text, "\n") {
		if _, err := fmt.Fprintf(w, "\n%s\n", strings.Join(lines(paragraph, wide-1), "\n")); err != nil {
			return err
		}
	}
	return nil
}
