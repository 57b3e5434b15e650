{{/* Times are microseconds since 1970 in UTC; compound values are JSON. */ -}}
CREATE TABLE colour (
  id {{.ID}},
  name TEXT NOT NULL UNIQUE,
  added_at {{.Int}} NOT NULL
){{.Strict}};
CREATE TABLE colour_state (
  id {{.ID}},
  colour_id {{.Int}} NOT NULL REFERENCES colour (id),
  at {{.Int}} NOT NULL,
  tolerance {{.Real}} NOT NULL,
  blotch_tolerance {{.Real}} NOT NULL,
  kl {{.Real}} NOT NULL,
  coats {{.Int}} NOT NULL,
  blend TEXT NOT NULL,
  drying_hours {{.Real}} NOT NULL,
  notes TEXT NOT NULL
){{.Strict}};
CREATE INDEX colour_state_of ON colour_state (colour_id, id);
CREATE TABLE swatch (
  id {{.ID}},
  colour_id {{.Int}} NOT NULL REFERENCES colour (id),
  l {{.Real}} NOT NULL,
  a {{.Real}} NOT NULL,
  b {{.Real}} NOT NULL,
  cov TEXT NOT NULL,
  print_cov TEXT NOT NULL,
  photos TEXT NOT NULL,
  light TEXT NOT NULL,
  camera TEXT NOT NULL,
  card TEXT NOT NULL,
  card_measured {{.Int}} NOT NULL,
  taken_at {{.Int}},
  kept_at {{.Int}} NOT NULL,
  dab_linear TEXT,
  hide_linear TEXT,
  hide_lab TEXT
){{.Strict}};
CREATE INDEX swatch_of ON swatch (colour_id, id);
CREATE TABLE hide (
  id {{.ID}},
  name TEXT NOT NULL UNIQUE,
  lot TEXT NOT NULL,
  thickness_mm {{.Real}} NOT NULL,
  finish TEXT NOT NULL,
  notes TEXT NOT NULL,
  added_at {{.Int}} NOT NULL
){{.Strict}};
CREATE TABLE bottle (
  id {{.ID}},
  name TEXT NOT NULL UNIQUE,
  dye TEXT NOT NULL,
  maker_lot TEXT NOT NULL,
  opened_at {{.Int}},
  notes TEXT NOT NULL,
  added_at {{.Int}} NOT NULL
){{.Strict}};
CREATE TABLE batch (
  id {{.ID}},
  name TEXT NOT NULL UNIQUE,
  colour_id {{.Int}} NOT NULL REFERENCES colour (id),
  opened_at {{.Int}} NOT NULL,
  opened_by TEXT NOT NULL
){{.Strict}};
CREATE TABLE decision (
  id {{.ID}},
  batch_id {{.Int}} NOT NULL REFERENCES batch (id),
  says TEXT NOT NULL,
  decided_by TEXT NOT NULL,
  at {{.Int}} NOT NULL,
  why TEXT NOT NULL,
  corrects {{.Int}} REFERENCES decision (id)
){{.Strict}};
CREATE INDEX decision_of ON decision (batch_id, id);
CREATE TABLE piece (
  id {{.ID}},
  name TEXT NOT NULL UNIQUE,
  colour_id {{.Int}} NOT NULL REFERENCES colour (id),
  hide_id {{.Int}} REFERENCES hide (id),
  batch_id {{.Int}} REFERENCES batch (id),
  added_at {{.Int}} NOT NULL
){{.Strict}};
CREATE TABLE coat (
  id {{.ID}},
  piece_id {{.Int}} NOT NULL REFERENCES piece (id),
  number {{.Int}} NOT NULL,
  applied_at {{.Int}},
  temperature {{.Real}},
  bottle_id {{.Int}} REFERENCES bottle (id),
  blend TEXT NOT NULL,
  added_at {{.Int}} NOT NULL,
  UNIQUE (piece_id, number)
){{.Strict}};
CREATE TABLE photo_check (
  id {{.ID}},
  kind TEXT NOT NULL,
  colour_id {{.Int}} REFERENCES colour (id),
  batch_id {{.Int}} REFERENCES batch (id),
  bottle_id {{.Int}} REFERENCES bottle (id),
  file TEXT NOT NULL,
  sha256 TEXT NOT NULL,
  taken_at {{.Int}},
  camera TEXT NOT NULL,
  problem TEXT NOT NULL,
  reference TEXT,
  stored_at {{.Int}} NOT NULL,
  corrects {{.Int}} UNIQUE REFERENCES photo_check (id)
){{.Strict}};
CREATE UNIQUE INDEX photo_check_once ON photo_check
  (sha256, kind, COALESCE(colour_id, 0), COALESCE(batch_id, 0), COALESCE(bottle_id, 0), COALESCE(corrects, 0));
CREATE INDEX photo_check_of_colour ON photo_check (colour_id, id);
CREATE INDEX photo_check_of_batch ON photo_check (batch_id, id);
CREATE TABLE check_piece (
  check_id {{.Int}} NOT NULL REFERENCES photo_check (id),
  number {{.Int}} NOT NULL,
  piece_id {{.Int}} REFERENCES piece (id),
  name TEXT NOT NULL,
  verdict TEXT NOT NULL,
  l {{.Real}},
  a {{.Real}},
  b {{.Real}},
  cov TEXT,
  de00 {{.Real}},
  u {{.Real}},
  low {{.Real}},
  high {{.Real}},
  blotch {{.Real}},
  strength {{.Real}},
  PRIMARY KEY (check_id, number)
){{.Strict}};
CREATE INDEX check_piece_of ON check_piece (piece_id, check_id);
CREATE TABLE check_evidence (
  check_id {{.Int}} NOT NULL PRIMARY KEY REFERENCES photo_check (id),
  result TEXT NOT NULL,
  picture {{.Blob}}
){{.Strict}};
CREATE TABLE recipe (
  id {{.ID}},
  colour_id {{.Int}} NOT NULL REFERENCES colour (id),
  parts TEXT NOT NULL,
  ml {{.Real}} NOT NULL,
  de00 {{.Real}} NOT NULL,
  low {{.Real}} NOT NULL,
  high {{.Real}} NOT NULL,
  at {{.Int}} NOT NULL,
  note TEXT NOT NULL
){{.Strict}};
CREATE INDEX recipe_of ON recipe (colour_id, id);

{{/* A piece may still join a batch. All else stays as it was written. */ -}}
{{$kept := list "colour" "colour_state" "swatch" "hide" "bottle" "batch" "decision" "coat" "photo_check" "check_piece" "check_evidence" "recipe" -}}
{{if .SQLite}}
{{- range $table := $kept}}{{range $verb := list "UPDATE" "DELETE"}}
CREATE TRIGGER {{$table}}_kept_{{$verb}} BEFORE {{$verb}} ON {{$table}} BEGIN
  SELECT RAISE(ABORT, 'a shade book keeps what is written');
END;
{{- end}}{{end}}
{{else}}
CREATE FUNCTION shadebook_keeps() RETURNS trigger LANGUAGE plpgsql AS
  'BEGIN RAISE EXCEPTION ''a shade book keeps what is written''; END';
{{- range $table := $kept}}
CREATE TRIGGER {{$table}}_kept BEFORE UPDATE OR DELETE ON {{$table}}
  FOR EACH ROW EXECUTE FUNCTION shadebook_keeps();
{{- end}}
{{end}}
