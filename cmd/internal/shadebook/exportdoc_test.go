package shadebook

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// EXPORT.md has every record with every field, in the order of an export, and says
// truly what may be null.
func TestExportIsDocumented(t *testing.T) {
	text, err := os.ReadFile("EXPORT.md")
	if err != nil {
		t.Fatal(err)
	}
	var got, want []string
	field := regexp.MustCompile("^\\| `([a-z0-9_]+)` \\| ([a-zA-Z]+)( or none)? \\|")
	record := ""
	for line := range strings.Lines(string(text)) {
		if name, is := strings.CutPrefix(line, "## "); is {
			record = strings.TrimSpace(name)
		}
		if m := field.FindStringSubmatch(line); m != nil {
			got = append(got, record+" "+m[1]+" "+m[2]+m[3])
		}
	}
	kinds := map[form]string{words: "text", whole: "whole", real: "number", moments: "time", nested: "JSON", binary: "bytes"}
	b := open(t, t.TempDir()+"/book.db")
	for _, table := range tables() {
		for _, c := range table.columns {
			must := 0
			if err := b.db.QueryRow("SELECT \"notnull\" OR pk FROM pragma_table_info($1) WHERE name = $2", table.name, c.name).Scan(&must); err != nil {
				t.Fatal(table.name, c.name, err)
			}
			kind := kinds[c.form]
			if must == 0 {
				kind += " or none"
			}
			want = append(want, table.name+" "+c.name+" "+kind)
		}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}
