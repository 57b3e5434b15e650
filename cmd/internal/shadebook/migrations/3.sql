CREATE TABLE photo_drop (
  id {{.ID}},
  check_id {{.Int}} NOT NULL UNIQUE REFERENCES photo_check (id),
  dropped_by TEXT NOT NULL,
  at {{.Int}} NOT NULL,
  why TEXT NOT NULL
){{.Strict}};
{{- if .SQLite}}{{range $verb := list "UPDATE" "DELETE"}}
CREATE TRIGGER photo_drop_kept_{{$verb}} BEFORE {{$verb}} ON photo_drop BEGIN
  SELECT RAISE(ABORT, 'a shade book keeps what is written');
END;
{{- end}}
{{else}}
CREATE TRIGGER photo_drop_kept BEFORE UPDATE OR DELETE ON photo_drop
  FOR EACH ROW EXECUTE FUNCTION shadebook_keeps();
{{end}}
