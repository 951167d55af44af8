package lines

import (
	"tankside/events"
)

// Grammar is the version of the grammar that this program reads lines by. It is kept in
// each entry made from a line, beside the line itself. It goes up where what a line means
// changes: 2 takes a spoken number apart where only that fits, and joins nothing to an
// entry of another kind.
const Grammar = "2"

// Certainty says how sure the reading of a line is.
type Certainty string

// The certainties. Clear: every word was known. Guessed: something was taken for what
// it most likely means and is marked. Note: kept as a plain note.
const (
	Clear   Certainty = "clear"
	Guessed Certainty = "guessed"
	Note    Certainty = "note"
)

// Reading is what a line was read as.
type Reading struct {
	Raw       string // the line as typed
	Grammar   string
	Certainty Certainty
	// Drafts are the entries that the line becomes, in the order to be saved; never
	// empty unless the line is blank. They have no id and no time of recording: whoever
	// saves them gives both. A draft's Words are the raw line.
	Drafts  []events.Draft
	Says    string    // what was understood, a plain sentence
	Assumed []Mark    // what was filled in or guessed
	Hints   []string  // one plain line each: what is odd, why, the way out
	Board   []string  // what the board will show differently, a short line each
	Ask     *Question // nil when nothing has to be asked
	Timed   bool      // the line gave its own time
	// Target is the entry that a fix, a strike, a join or a move means; 0 for other lines.
	Target events.Seq
	// Move is set where the line takes an entry to another incident. Drafts are then a note
	// of its words, for whoever cannot do that.
	Move *Move
}

// Mark is something assumed. From and To are the bytes of the raw line that it stands
// on; both are the length of the line where nothing was typed for it.
type Mark struct {
	From, To int
	What     string // what was taken for it: "psi", "plugged", "start 0 gal"
}

// Question is asked before a line is kept: one line, one key to go on. Keys other than
// those of the choices change nothing. The first choice is to keep it as typed, by Enter.
type Question struct {
	Text    string
	Choices []Choice
}

// Choice is one answer. Its drafts take the place of the reading's.
type Choice struct {
	Key    string // "Enter", or a capital letter
	Label  string
	Says   string
	Drafts []events.Draft
}

// EnterKey is the key of the choice that keeps what was typed.
const EnterKey = "Enter"

// Completion is one way to go on with a line: the bytes From to To of it give way to
// Text.
type Completion struct {
	From, To int
	Text     string
	Why      string // "pair 1 is in", "L2 is running"; "" when it says nothing new
}

// MostCompletions is how many completions are offered at once.
const MostCompletions = 5
