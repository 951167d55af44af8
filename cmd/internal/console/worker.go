package console

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io/fs"
	"net/http"
	"path"
	"slices"
	"sync"

	"tankside/templates"
)

// workerFile is the script that keeps the pages in the browser for the time when this
// process is away. It is served from the root: it may keep only what lies below it.
const workerFile = "static/worker.js"

// build tells one program's pages and scripts from another's.
var build = sync.OnceValue(func() string {
	sum := sha256.New()
	for _, files := range []fs.FS{templates.Static, templates.Console} {
		for _, name := range under(files) {
			text, err := fs.ReadFile(files, name)
			if err != nil {
				panic(err) // they are built in
			}
			sum.Write([]byte(name))
			sum.Write(text)
		}
	}
	return hex.EncodeToString(sum.Sum(nil)[:6])
})

// under lists the files of a folder that is built in.
func under(files fs.FS) (names []string) {
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			names = append(names, name)
		}
		return err
	})
	if err != nil {
		panic(err)
	}
	return names
}

// keeps is what the worker keeps.
type keeps struct {
	Of    string   `json:"of"` // the program and the incident
	Pages []string `json:"pages"`
	Files []string `json:"files"`
}

// ofHeader says with each page of which program and incident it is.
const ofHeader = "Tankside-Of"

// of tells a page of this program and incident from others at the same address.
func (c *Console) of() string {
	sum := sha256.Sum256([]byte(build() + " " + c.cfg.Name))
	return hex.EncodeToString(sum[:8])
}

func (c *Console) keeps() keeps {
	k := keeps{Of: c.of()}
	for _, p := range pageList {
		if p.Line || p.Name == "far" { // the boards: other pages are of no use without the log
			k.Pages = append(k.Pages, p.Path)
		}
	}
	for _, name := range under(templates.Static) {
		if name != workerFile && slices.Contains([]string{".js", ".css", ".svg"}, path.Ext(name)) {
			k.Files = append(k.Files, static(name[len("static/"):]))
		}
	}
	return k
}

// static is the address of a file that pages load: it names the program, so that no page
// is given the file of another.
func static(name string) string { return "/static/" + name + "?v=" + build() }

// worker answers with the worker's script.
func (c *Console) worker(w http.ResponseWriter, _ *http.Request) {
	what, err := json.Marshal(c.keeps())
	text, rerr := templates.Static.ReadFile(workerFile)
	if err != nil || rerr != nil {
		panic("the worker's script is built in")
	}
	w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	_, _ = w.Write(append([]byte("const kept = "+string(what)+";\n"), text...)) // a browser that is gone asks again
}
