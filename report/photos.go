package report

import (
	"encoding/base64"
	"fmt"
	"html"
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// Limits of what a page shows itself, in bytes: a page is to open on a phone. Common
// practice, no source.
const (
	mostShown    = 4 << 20
	mostShownAll = 24 << 20
)

// shownTypes are the pictures that every browser shows and that run nothing.
var shownTypes = []string{"image/jpeg", "image/png", "image/gif", "image/webp"}

// Photo is a photograph or a paper of the log.
type Photo struct {
	N        int // counts from 1
	Seq      events.Seq
	At       projections.Moment
	Words    string
	File     string
	Shows    string
	Looks    string
	Stamp    string // what the camera's own clock wrote
	By       string
	Media    string
	Bytes    projections.Figure
	Sum      string // SHA-256; empty where the file was not taken in
	Fault    string // what is wrong with the file: not there, not the same
	LeftOut  bool   // not for this edition
	NotShown string // why the page does not show it

	src string // of an image, as a data address
}

// Paper reads a file of the log by its SHA-256. fault says what is wrong with it: "is not
// there", "is not the same"; it is empty where data is what was taken in.
type Paper func(sum string) (data []byte, fault string)

// setPhotos gathers the photographs and papers. The public edition shows what is marked
// public, without the name of its file, in which nobody coded what stands, and says of
// the others that they are left out.
func (d *Document) setPhotos(tl *events.Timeline, read Paper) {
	left := mostShownAll
	for _, e := range tl.Entries {
		k, ok := e.Payload.(kinds.Photo)
		if !ok || !e.Live() {
			continue
		}
		row := d.rowOf(e)
		p := Photo{N: len(d.Photos) + 1, Seq: e.Seq, At: projections.MomentOf(e)}
		if d.Public() && k.Privacy != "public" {
			p.LeftOut = true
			d.Photos = append(d.Photos, p)
			if row != nil {
				*row = leaveOut(*row)
			}
			continue
		}
		p.File, p.Shows, p.Looks, p.Stamp, p.By, p.Media = k.File, k.Shows, k.Direction, k.Stamp, e.ObservedBy, k.Media
		p.Words, p.Bytes = e.Words, projections.FigureOf(k.Bytes, "", e.Seq)
		if d.Public() && row != nil {
			p.Words, p.By, p.File, p.Shows = row.Words, row.By, "", ""
			row.Line = strings.Replace(row.Line, k.File+", ", "", 1)
		}
		_, p.Sum = k.Attached()
		p.show(read, &left)
		d.Photos = append(d.Photos, p)
	}
}

// rowOf is the row of an entry in the timeline of the document.
func (d *Document) rowOf(e *events.Entry) *Row {
	for i := range d.Timeline {
		rows := d.Timeline[i].Rows
		if j := slices.IndexFunc(rows, func(r Row) bool { return r.Seq == e.Seq && (r.Node == "" || r.Node == e.Node) }); j >= 0 {
			return &rows[j]
		}
	}
	return nil
}

// show reads the file and makes an address of it, where it is a picture of a size that
// a page can hold; left is how much the page has room for.
func (p *Photo) show(read Paper, left *int) {
	if p.Sum == "" {
		p.NotShown = "the log has its name alone"
		return
	}
	if read == nil {
		p.NotShown = "this report was made without the files"
		return
	}
	data, fault := read(p.Sum)
	switch {
	case fault != "":
		p.Fault = fault
	case !slices.Contains(shownTypes, p.Media):
		p.NotShown = "no picture that a page shows; the archive holds it"
	case len(data) > mostShown || len(data) > *left:
		p.NotShown = fmt.Sprintf("too large for a page, which shows %d MB each and %d MB in all; the archive holds it", mostShown>>20, mostShownAll>>20)
	default:
		*left -= len(data)
		p.src = "data:" + p.Media + ";base64," + base64.StdEncoding.EncodeToString(data)
	}
}

// Place is where the picture of the photo hangs.
func (p Photo) Place() markdown { return place(fmt.Sprintf("photo-%d", p.N)) }

// hung are the photos that a page shows, by where they hang, as HTML of ours.
func (d *Document) hung(out map[string]string) {
	for _, p := range d.Photos {
		out[string(p.Place())] = ""
		if p.src != "" {
			alt := strings.TrimSpace(fmt.Sprintf("Photo %d. %s", p.N, shown(p.Shows)))
			out[string(p.Place())] = fmt.Sprintf("<figure>\n<img src=\"%s\" alt=\"%s\">\n</figure>\n", p.src, html.EscapeString(alt))
		}
	}
}

// showsPhotos reports whether the page holds any.
func (d *Document) showsPhotos() bool {
	return slices.ContainsFunc(d.Photos, func(p Photo) bool { return p.src != "" })
}
