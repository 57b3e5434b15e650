{{/* What was decided on is kept with the decision; those from before have none. */ -}}
ALTER TABLE decision ADD COLUMN state_id {{.Int}} REFERENCES colour_state (id);
ALTER TABLE decision ADD COLUMN verdicts TEXT;
