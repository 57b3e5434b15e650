{{/* A coat that was noted by mistake is dropped, and another may be noted with its number:
so that this is no longer one of a kind. */ -}}
{{if .SQLite -}}
CREATE TABLE coat_anew (
  id {{.ID}},
  piece_id {{.Int}} NOT NULL REFERENCES piece (id),
  number {{.Int}} NOT NULL,
  applied_at {{.Int}},
  temperature {{.Real}},
  bottle_id {{.Int}} REFERENCES bottle (id),
  blend TEXT NOT NULL,
  added_at {{.Int}} NOT NULL
){{.Strict}};
INSERT INTO coat_anew SELECT id, piece_id, number, applied_at, temperature, bottle_id, blend, added_at FROM coat ORDER BY id;
DROP TABLE coat;
ALTER TABLE coat_anew RENAME TO coat;
{{- range $verb := list "UPDATE" "DELETE"}}
CREATE TRIGGER coat_kept_{{$verb}} BEFORE {{$verb}} ON coat BEGIN
  SELECT RAISE(ABORT, 'a shade book keeps what is written');
END;
{{- end}}
{{else -}}
ALTER TABLE coat DROP CONSTRAINT IF EXISTS coat_piece_id_number_key;
{{end -}}
CREATE INDEX coat_of ON coat (piece_id, number);
CREATE TABLE coat_drop (
  id {{.ID}},
  coat_id {{.Int}} NOT NULL UNIQUE REFERENCES coat (id),
  dropped_by TEXT NOT NULL,
  at {{.Int}} NOT NULL,
  why TEXT NOT NULL
){{.Strict}};
{{- if .SQLite}}{{range $verb := list "UPDATE" "DELETE"}}
CREATE TRIGGER coat_drop_kept_{{$verb}} BEFORE {{$verb}} ON coat_drop BEGIN
  SELECT RAISE(ABORT, 'a shade book keeps what is written');
END;
{{- end}}
{{else}}
CREATE TRIGGER coat_drop_kept BEFORE UPDATE OR DELETE ON coat_drop
  FOR EACH ROW EXECUTE FUNCTION shadebook_keeps();
{{end}}
