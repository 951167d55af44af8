// Package lines reads what a scribe types: one line of trade speech, in any sensible
// order, becomes the drafts that the flags of a kind would have given.
//
//	pair 1 in 2980 3010
//	2341 hose end bz 9.6
//	bond r2 .7 scraped paint
//	fix 181: 3537 L
//
// A line is never refused. What is understood becomes entries of their kinds; what is
// not is kept as a note with the words as typed, and words that are understood in part
// stay in the entry beside what was made of them. Whatever the line left out and the
// reading filled in, a unit, a leg, a starting value, is named in the reading's Assumed.
//
// The vocabulary comes from the declarations of the kinds and from what the incident
// has taught: its trucks, pairs, compartments, holes, legs and places stand in the
// Context. Parse and Complete are functions of their arguments alone: they read no
// clock, and the same line at the same Context always gives the same Reading.
package lines
