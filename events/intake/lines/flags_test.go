package lines

import (
	"reflect"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
)

// TestLinesAreFlags holds that a line gives the payload that the flags of its kind give
// for the same values: nothing comes into the log by a line that flags could not say.
func TestLinesAreFlags(t *testing.T) {
	for _, row := range rows(t, "forty.csv") {
		ctx := night()
		scenes[row["scene"]](&ctx)
		for _, d := range Parse(ctx, row["line"]).Drafts {
			typ := kinds.Catalogue().Type(d.Payload.Kind())
			byFlags := typ.Empty()
			for _, p := range typ.Values(d.Payload) {
				var err error
				if byFlags, err = typ.With(byFlags, p.Key, p.Value); err != nil {
					t.Fatalf("%q: --%s %q: %v", row["line"], p.Key, p.Value, err)
				}
			}
			if !reflect.DeepEqual(byFlags, d.Payload) {
				t.Errorf("%q gives %+v, its flags %+v", row["line"], d.Payload, byFlags)
			}
		}
	}
}

// TestSameReading holds that reading has no memory and no dice: a line read again gives
// the same, whatever was read between.
func TestSameReading(t *testing.T) {
	table := rows(t, "forty.csv")
	read := func() (out []Reading) {
		for _, row := range table {
			ctx := night()
			scenes[row["scene"]](&ctx)
			out = append(out, Parse(ctx, row["line"]))
		}
		return out
	}
	first, second := read(), read()
	for i := range first {
		if !reflect.DeepEqual(first[i], second[i]) {
			t.Errorf("%q is read as %+v and then as %+v", table[i]["line"], first[i], second[i])
		}
	}
}

// BenchmarkPreview is what one key costs the preview with a thousand entries in the log:
// the reading and the completions.
func BenchmarkPreview(b *testing.B) {
	ctx := crowded()
	for b.Loop() {
		const line = "r1 hose end benzene 9.6 lel 5"
		Parse(ctx, line)
		Complete(ctx, line, len(line))
	}
}

// BenchmarkPreviewSlip is the same for a line with a word that nobody knows.
func BenchmarkPreviewSlip(b *testing.B) {
	ctx := crowded()
	for b.Loop() {
		const line = "safety says pumo off four, ten twelvw"
		Parse(ctx, line)
		Complete(ctx, line, len(line))
	}
}

// crowded is the context of the night with a thousand entries.
func crowded() Context {
	ctx := night()
	for i := range 1000 {
		e := ctx.Entries[i%3]
		e.Seq = events.Seq(200 + i)
		ctx.Entries = append(ctx.Entries, e)
	}
	return ctx
}
