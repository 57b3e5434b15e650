package report

import (
	"os"
	"reflect"
	"strings"
	"testing"
)

// JSON.md describes every field that the commands print with --json, and no other.
func TestJSONIsDocumented(t *testing.T) {
	text, err := os.ReadFile("JSON.md")
	if err != nil {
		t.Fatal(err)
	}
	for command, of := range map[string]any{"check": Report{}, "colour list": Colours{}, "colour show": ColourShown{}, "swatch keep": SwatchKept{},
		"hide list": Hides{}, "bottle list": Bottles{}, "piece show": PieceShown{}, "coat next": CoatNext{}, "batch list": Batches{}, "batch check and batch show": Batch{},
		"bottle check": Dabs{}, "bottle ladder": Ladder{}, "bottle dab": DabsKept{}, "bottle show": BottleShown{}, "bottle show --dye": DyeShown{},
		"blend propose": Blends{}, "blend correct": Correction{}, "blend scale": Scaled{}, "blend list": Recipes{}} {
		_, section, found := strings.Cut(string(text), "\n## "+command+"\n")
		if !found {
			t.Errorf("no section %q", command)
		}
		section, _, _ = strings.Cut(section, "\n## ")
		all := paths(reflect.TypeOf(of), "")
		if rows := strings.Count(section, "\n| `"); rows != len(all) {
			t.Errorf("%s: %d fields are described, of %d", command, rows, len(all))
		}
		for _, path := range all {
			if !strings.Contains(section, "\n| `"+path+"` |") {
				t.Errorf("%s: %s is not described in JSON.md", command, path)
			}
		}
	}
}

// paths returns the fields of a type as JSON has them: "pieces[].blotch.rms_de00".
func paths(t reflect.Type, before string) (out []string) {
	switch t.Kind() {
	case reflect.Pointer:
		return paths(t.Elem(), before)
	case reflect.Slice:
		if t.Elem().Kind() == reflect.Struct {
			return paths(t.Elem(), before+"[]")
		}
	case reflect.Struct:
		for f := range t.NumField() {
			field := t.Field(f)
			name, _, _ := strings.Cut(field.Tag.Get("json"), ",")
			switch {
			case field.Anonymous:
				out = append(out, paths(field.Type, before)...)
			case field.IsExported():
				out = append(out, paths(field.Type, strings.TrimPrefix(before+"."+name, "."))...)
			}
		}
		return out
	}
	return []string{before}
}
