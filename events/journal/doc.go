// Package journal is the durable log: an embedded NATS JetStream server, a chain
// of hashes, and a plain second copy. It is the only package that imports nats.
//
// # What it promises
//
// An entry that Append has returned is on the disk in two places, survives loss of
// power, cannot be changed unnoticed, and is never dropped, doubled or reordered.
//
// # How an entry is saved
//
// The draft is checked and sealed: it gets its number and the hash of the entry
// before it. Its bytes go to the store, which flushes them before it answers, then
// to the second copy, which is flushed too. Only then does Append return. When
// either fails the entry is NOT SAVED; Append says so through Config.OnTrouble and
// tries again until the context ends. Before each new try the store is started
// anew and asked what it holds, so that an entry whose answer was lost is found
// there and not stored twice.
//
// Crews' devices and relays send drafts to the subject draft.<node>.<incident>; the
// journal answers with the stored entry or with why there is none. Entries lie in
// one stream under ev.<node>.<incident>.<kind>, where their id within the incident
// is the message id.
//
// # The folder
//
//	node          name of this machine
//	lock          held by the process that has the folder open
//	clean         there only after a clean stop
//	head.json     how far each incident had come (see below)
//	store/        the server's own files
//	copy/         one JSON Lines file an incident: the bytes of each entry, a line each
//	aside/        whatever was set aside: copies of the store, half lines, what did not fit
//	key           the key that seals archives
//
// # Who is the witness of what
//
// The chain runs through both copies, so either shows a change in the other. A loss
// at the very end of both at once would leave a shorter but whole chain; the head
// record is there for that. It is written at a clean stop and every 64 entries, not
// at each entry: that would cost a third flush, and each entry is already witnessed
// twice. Whoever can write both copies and the head can forge a log from some entry
// on; a sealed archive kept elsewhere shows that.
//
// Reads come from the second copy. Open compared it with the store byte for byte,
// every entry since went through both, and it can be read while the store cannot be
// written, as when the disk is full.
//
// # After a stop that was not clean
//
// The store's folder is copied aside before the server may open it, because the
// server cuts off what it cannot read and says nothing. An entry that the store has
// and the second copy lacks at its end was being saved when the machine stopped: the
// copy is completed and that is told as a note. Everything else that differs is
// damage. It is told as a Finding that names the entry, and nothing is changed until
// Repair is asked for. The log goes on in the meantime, as long as it is certain
// which entry is the last: the log is for a scribe at night, and entries are chained
// to what is known. Only where the end itself is in doubt is an entry refused, with
// the command that settles it.
//
// # What is assumed of the machine
//
// A flush that returns has put the bytes, and the name of a file whose folder was
// flushed, where a power cut cannot reach them; a drive that lies about that breaks
// the promise for the entries it lied about. Tests cut the power of a file system
// that forgets everything not flushed, kill the process at random points, and damage
// both copies. Not tested: drives that lie, torn sectors, Windows and macOS. Keep the
// folder on a local disk, never in one that another program synchronises, and let no
// second copy of a folder log on under the same node.
package journal
