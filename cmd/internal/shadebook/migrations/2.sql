{{/* How the book writes each name: no two may differ by case or spaces alone. It follows
from the records, so it is not exported. */ -}}
CREATE TABLE spelling (
  kind TEXT NOT NULL,
  folded TEXT NOT NULL,
  name TEXT NOT NULL,
  PRIMARY KEY (kind, folded)
){{.Strict}};
{{- if .SQLite}}{{range $verb := list "UPDATE" "DELETE"}}
CREATE TRIGGER spelling_kept_{{$verb}} BEFORE {{$verb}} ON spelling BEGIN
  SELECT RAISE(ABORT, 'a shade book keeps what is written');
END;
{{- end}}
{{else}}
CREATE TRIGGER spelling_kept BEFORE UPDATE OR DELETE ON spelling
  FOR EACH ROW EXECUTE FUNCTION shadebook_keeps();
{{end}}
