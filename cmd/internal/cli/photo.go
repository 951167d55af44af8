package cli

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events"
	"tankside/events/journal"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/report"
)

// photoCommand takes a photograph or a paper in. It is log photo with the file and the
// words as they come.
func (a *App) photoCommand(s *settings) *cobra.Command {
	cmd := a.logKind(s, a.catalogue.Type(kinds.Photo{}.Kind()))
	save := cmd.RunE
	cmd.Use, cmd.GroupID = "photo FILE [WORDS]", ""
	cmd.Short = "Take a photograph or a paper into the log"
	cmd.Long = fmt.Sprintf(`Take a photograph, a drawing or a paper into the log. The file itself is kept in the data
folder under its SHA-256, once however often it is named, and is on disk before the entry
is saved. It goes into every archive and bag, and verify checks it. The most is %d MB.

The public edition of the report shows only what is marked --privacy public, and leaves
out what is marked agency or medical.`, journal.MostPaper>>20)
	cmd.Example = `  tankside photo IMG_0112.jpg "C4 lid before the wedge" --where C4 --at 22:41
  tankside photo bill-of-lading.pdf --who Driver --privacy agency`
	cmd.Args = func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return usage("say which file: tankside photo FILE \"what it shows\"")
		}
		return nil
	}
	cmd.Flags().Lookup("file").Hidden = true
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if info, err := os.Stat(args[0]); errors.Is(err, fs.ErrNotExist) {
			return usage("no file %s; check the name", args[0])
		} else if err == nil && info.IsDir() {
			return usage("%s is a folder; name one file", args[0])
		}
		if err := cmd.Flags().Set("file", args[0]); err != nil {
			return usage("the file is given already, as FILE; leave out --file")
		}
		if words := strings.Join(args[1:], " "); strings.TrimSpace(words) != "" {
			if err := cmd.Flags().Set("words", words); err != nil {
				return usage("the words are given already, behind the file; leave out --words")
			}
		}
		return save(cmd, nil)
	}
	return cmd
}

// takeIn reads the file that a photo names, where there is one and nobody gave its sum,
// and fills in what its bytes say. keep then puts the bytes into a data folder.
func (a *App) takeIn(d *events.Draft) (keep func(dir string) error, err error) {
	none := func(string) error { return nil }
	p, ok := d.Payload.(kinds.Photo)
	if !ok || p.File == "" || p.SHA256 != "" {
		return none, nil
	}
	info, err := os.Stat(p.File)
	if errors.Is(err, fs.ErrNotExist) {
		fmt.Fprintf(a.Err, "tankside: there is no file %s here, so the entry holds its name alone; to take the file in: tankside photo FILE\n", legible(p.File))
		return none, nil
	}
	switch {
	case err != nil:
		return nil, userError{err}
	case !info.Mode().IsRegular():
		return nil, usage("%s is no file", p.File)
	case info.Size() == 0:
		return nil, usage("%s is empty; check that it was copied whole", p.File)
	case info.Size() > journal.MostPaper:
		return nil, usage("%s has %d MB, and the most is %d MB; make it smaller, or keep it elsewhere and log its name and its SHA-256 with tankside log photo --file NAME --sha256 SUM", p.File, info.Size()>>20, journal.MostPaper>>20)
	}
	data, err := os.ReadFile(p.File)
	if err != nil {
		return nil, userError{err}
	}
	h := sha256.Sum256(data)
	p.File, p.SHA256 = filepath.Base(p.File), hex.EncodeToString(h[:])
	if p.Media == "" {
		p.Media, _, _ = strings.Cut(http.DetectContentType(data), ";")
	}
	if !p.Bytes.Said() {
		p.Bytes = quantity.Of(quantity.Count(len(data)))
	}
	d.Payload = p
	return func(dir string) error {
		_, err := journal.KeepPaper(dir, data)
		return err
	}, a.catalogue.Validate(*d)
}

// papersIn reads the files that the logs of a data folder took in, and says what is wrong
// with them.
func papersIn(dir string) report.Paper {
	return func(sum string) ([]byte, string) {
		data, err := journal.ReadPaper(dir, sum)
		return data, journal.PaperFault(err)
	}
}
