package console_test

import (
	"crypto/ed25519"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankside/cmd/internal/browser"
	"tankside/events"
	"tankside/events/kinds"
	"tankside/report"
)

// keys is a key as a data folder has one.
type keys struct{ key ed25519.PrivateKey }

func newKeys() keys { return keys{ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize))} }

func (k keys) PublicKey() (ed25519.PublicKey, error) { return k.key.Public().(ed25519.PublicKey), nil }
func (k keys) Sign(m []byte) ([]byte, error)         { return ed25519.Sign(k.key, m), nil }

// reviewed is the newest payload of type T in the log.
func reviewed[T events.Payload](t *testing.T, p *post) (out T, n int) {
	t.Helper()
	for r, err := range p.log.Read(t.Context(), 1) {
		if err != nil {
			t.Fatal(err)
		}
		if k, ok := r.Payload.(T); ok {
			out = k
			n++
		}
	}
	return out, n
}

// reviewer is somebody at the desk, with the keyboard alone.
type reviewer struct{ *browser.Page }

func atDesk(t *testing.T, p *post, tab string) reviewer {
	t.Helper()
	page := reviewer{browser.Open(t, p.URL+"/desk?at="+tab, browser.Laptop)}
	page.Wait(isLive)
	return page
}

// reach puts the focus on something, as Tab does in the end.
func (r reviewer) reach(selector string) {
	r.Wait(fmt.Sprintf(`(e => (e && (e.focus(), document.activeElement === e)))(document.querySelector(%q))`, selector))
}

// write puts text in the place of what a field holds.
func (r reviewer) write(selector, text string) {
	r.reach(selector)
	r.Press("Ctrl-a")
	r.Type(text)
}

// press presses a button of a form and waits for what the form says then.
func (r reviewer) press(form, value, says string) {
	browser.Eval[bool](r.Page, `(document.getElementById("deskstatus").textContent = "", true)`)
	r.reach(fmt.Sprintf(`%s button[value=%q]`, form, value))
	r.Press("Enter")
	r.Wait(fmt.Sprintf(`document.getElementById("deskstatus").textContent.includes(%q)`, says))
}

// opened opens a finding and returns the selector of its form.
func (r reviewer) opened(n int) (form, id string) {
	form = browser.Eval[string](r.Page, fmt.Sprintf(`document.querySelectorAll("article.found.serious form[data-do=take]")[%d].id`, n))
	form = fmt.Sprintf(`[id=%q]`, form)
	r.reach(form[:len(form)-2] + `-more"] > summary`)
	r.Press("Enter")
	return form, browser.Eval[string](r.Page, fmt.Sprintf(`document.querySelector(%q).dataset.of`, form))
}

func morning(t *testing.T) *post { return quarryBend(t, "2025-10-15T06:30:20-05:00") }

// TestDeskFindings takes a finding in words of its own, dismisses one with the reason,
// takes it back and writes one; whatever is shown as saved is in the log.
func TestDeskFindings(t *testing.T) {
	p := morning(t)
	r := atDesk(t, p, "findings")
	form, id := r.opened(0)
	r.write(form+" textarea", "we saw it and went on")
	r.write(form+" select", "fix")
	r.press(form, "take", "Saved as entry")
	if k, n := reviewed[kinds.FindingTaken](t, p); n != 1 || k.Finding != id || k.Statement != "we saw it and went on" || k.Sort != "fix" || len(k.Stood) < 2 {
		t.Errorf("taken: %+v, %d times; want %s with its evidence", k, n, id)
	}
	r.Wait(`document.querySelector("#g-taken").textContent.includes("1")`)
	form, id = r.opened(0)
	r.press(form, "dismiss", "not dismissed without a reason")
	r.write(form+" input[name=why]", "told and not logged")
	r.press(form, "dismiss", "Saved as entry")
	if k, _ := reviewed[kinds.FindingDismissed](t, p); k.Finding != id || k.Why != "told and not logged" {
		t.Errorf("dismissed: %+v; want %s", k, id)
	}
	r.Wait(`document.querySelector("#g-dismissed") !== null`)
	r.press(form, "take", "Saved as entry")
	if k, n := reviewed[kinds.FindingTaken](t, p); n != 2 || k.Finding != id {
		t.Errorf("taken back: %+v, %d taken", k, n)
	}
	r.write("#f-new-text", "order two trucks at once")
	r.write("#f-new-entries", "77, 103")
	r.press("#f-new", "write", "Saved as entry")
	if k, _ := reviewed[kinds.FindingWritten](t, p); k.Name != "own-1" || len(k.Entry) != 2 {
		t.Errorf("own finding: %+v", k)
	}
	browser.Eval[bool](r.Page, `(document.querySelectorAll("details").forEach(d => { d.open = true; }), true)`)
	for _, v := range r.Axe() {
		t.Errorf("with everything open: %s (%s): %q", v.Help, v.Impact, v.Where)
	}
	r.Go(p.URL + "/story#e103")
	r.Wait(`document.getElementById("e103").textContent.includes("cited by finding 3")`)
	if c := r.Complaints(); len(c) > 1 { // the finding without a reason is answered with 422
		t.Errorf("the desk complains: %q", c)
	}
}

// TestDeskKeepsWords: half a text outlives the page, its reload and another browser
// window; it is not in the log, and what is saved does not come back as half a text.
func TestDeskKeepsWords(t *testing.T) {
	p := morning(t)
	r := atDesk(t, p, "words")
	r.write("#t-cause-text", "the driver swerved")
	r.Wait(`document.querySelector("#t-cause output").textContent.includes("not saved")`)
	p.cut.Store(true)
	r.press("#t-cause", "text", "")
	r.Wait(`document.querySelector("#t-cause output").textContent.startsWith("NOT SAVED")`)
	p.cut.Store(false)
	r.Reload()
	r.Wait(`document.querySelector("#t-cause-text").value === "the driver swerved"`)
	r.Wait(`fetch("/desk?at=words").then(r => r.text()).then(t => new DOMParser().parseFromString(t, "text/html").getElementById("deskdata").dataset.kept.includes("swerved"))`)
	browser.Eval[bool](r.Page, `(localStorage.clear(), true)`) // its own store had not reached the disk
	r.Reload()
	r.Wait(`document.querySelector("#t-cause-text").value === "the driver swerved"`)
	if _, n := reviewed[kinds.SectionWritten](t, p); n != 0 {
		t.Errorf("%d texts are in the log before anything was saved", n)
	}
	r.Wait(isLive)
	r.press("#t-cause", "text", "Saved as entry")
	r.Reload()
	r.Wait(`document.querySelector("#t-cause-text").value === "the driver swerved" && document.querySelector("#t-cause output").textContent === ""`)
	if k, n := reviewed[kinds.SectionWritten](t, p); n != 1 || k.Text != "the driver swerved" {
		t.Errorf("saved: %+v, %d times", k, n)
	}
}

// TestDeskTwo: of two who write the same part the second is shown what the first saved,
// and writes over it only when told to; a third page sees both without being loaded.
func TestDeskTwo(t *testing.T) {
	p := morning(t)
	a, b, watcher := atDesk(t, p, "words"), atDesk(t, p, "words"), atDesk(t, p, "words")
	b.write("#t-cause-text", "ice on the curve")
	a.write("#t-cause-text", "a deer")
	a.press("#t-cause", "text", "Saved as entry")
	b.Wait(`/It says: “a deer”/.test(document.querySelector("#t-cause .begun")?.textContent)`)
	if got := browser.Eval[string](b.Page, `document.querySelector("#t-cause-text").value`); got != "ice on the curve" {
		t.Errorf("the second has %q in the field", got)
	}
	b.press("#t-cause", "text", "was written here meanwhile")
	if k, n := reviewed[kinds.SectionWritten](t, p); n != 1 || k.Text != "a deer" {
		t.Fatalf("the first text was written over: %+v, %d times", k, n)
	}
	b.reach("#t-cause .begun button")
	b.Press("Enter")
	b.press("#t-cause", "text", "Saved as entry")
	if k, n := reviewed[kinds.SectionWritten](t, p); n != 2 || k.Text != "ice on the curve" {
		t.Errorf("after putting it over: %+v, %d times", k, n)
	}
	watcher.Wait(`document.querySelector("#t-cause-text").value === "ice on the curve"`)
}

// TestDeskEvidenceChanged puts right an entry that a finding stands on.
func TestDeskEvidenceChanged(t *testing.T) {
	p := morning(t)
	r := atDesk(t, p, "findings")
	r.write("#f-new-text", "the plug was the wrong one")
	r.write("#f-new-entries", "77")
	r.press("#f-new", "write", "Saved as entry")
	var id events.ID
	for e, err := range p.log.Read(t.Context(), 77) {
		if err != nil {
			t.Fatal(err)
		}
		id = e.ID
		break
	}
	hour := *p.hour.Load()
	if _, err := p.log.Append(t.Context(), events.Draft{ID: events.NewID(hour), Incident: "Quarry Bend", Mode: events.Exercise, Occurred: events.At(hour), Reported: hour,
		Payload: kinds.Struck{Entry: id, Why: "told of another tank"}}); err != nil {
		t.Fatal(err)
	}
	r.Wait(`document.querySelector("[id=f-own-1-box] .changed") !== null`)
	if got := r.Text("[id=f-own-1-box] .changed"); strings.Count(got, "77:") != 2 || !strings.Contains(got, "Struck.") {
		t.Errorf("was and is: %q", got)
	}
	r.reach("[id=f-own-1] button[data-asis]")
	r.Press("Enter")
	r.Wait(`document.querySelector("[id=f-own-1-box]") !== null && document.querySelector("[id=f-own-1-box] .changed") === null`)
	if k, n := reviewed[kinds.FindingWritten](t, p); n != 2 || k.Statement != "the plug was the wrong one" {
		t.Errorf("kept as it is: %+v, %d times", k, n)
	}
}

// TestDeskSigns: an entry that comes in between the two steps makes it sign nothing; then
// the report that was signed is in its folder and is as signed.
func TestDeskSigns(t *testing.T) {
	p := morning(t)
	r := atDesk(t, p, "sign")
	r.write("input[name=name]", "J. Example")
	r.write("input[name=role]", "Incident Commander")
	r.Press("Enter")
	r.Wait(`document.getElementById("sign-now") !== null`)
	r.Wait(isLive)
	hour := *p.hour.Load()
	late := func(n int) {
		if _, err := p.log.Append(t.Context(), events.Draft{ID: events.NewID(hour), Incident: "Quarry Bend", Mode: events.Exercise, Occurred: events.At(hour), Reported: hour,
			Payload: kinds.Note{Text: fmt.Sprintf("late %d", n)}}); err != nil {
			t.Fatal(err)
		}
	}
	for _, v := range r.Axe() {
		t.Errorf("at the second step: %s (%s): %q", v.Help, v.Impact, v.Where)
	}
	late(1)
	confirm := func(says string) {
		r.reach("#sign-now button")
		r.Press("Enter")
		r.Wait(fmt.Sprintf(`document.getElementById("deskstatus").textContent.includes(%q)`, says))
	}
	confirm("Nothing is signed")
	if _, err := os.Stat(p.signed); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a signed report is there though nothing was signed: %v", err)
	}
	confirm("Signed: code ")
	k, n := reviewed[kinds.ReportSigned](t, p)
	if n != 1 || k.Name != "J. Example" || k.Role != "Incident Commander" {
		t.Fatalf("signed: %+v, %d times", k, n)
	}
	for _, ending := range []string{".html", ".md"} {
		name := "quarry-bend-" + k.Code + ending
		file, err := os.ReadFile(filepath.Join(p.signed, name))
		if err != nil {
			t.Fatal(err)
		}
		sig, err := report.CheckSignature(file)
		if err != nil || sig.Code != k.Code || sig.Facts["entries"] != fmt.Sprint(len(p.live.News().Entries)-1) {
			t.Errorf("%s: %v, %+v", name, err, sig)
		}
		res, err := http.Get(p.URL + "/desk/signed/" + name)
		if err != nil || res.StatusCode != http.StatusOK || strings.Contains(res.Header.Get("Content-Security-Policy"), "script-src") {
			t.Errorf("GET %s: %v, %v", name, res, err)
		}
		res.Body.Close()
	}
	r.Wait(`document.querySelector(".signed code").textContent.startsWith("tankside verify ")`)
	late(2)
	r.Wait(`/sign again: 1 entry/.test(document.querySelector(".next").textContent)`)
}

// TestDeskReport shows the report itself, with its style and no complaint of the browser.
func TestDeskReport(t *testing.T) {
	p := morning(t)
	page := browser.Open(t, p.URL+"/desk/report", browser.Laptop)
	page.Wait(`document.querySelector("h1").textContent.includes("Quarry Bend")`)
	if c := page.Complaints(); len(c) > 0 {
		t.Errorf("the report complains: %q", c)
	}
}
