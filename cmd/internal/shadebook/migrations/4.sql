{{/* Nothing was ever written into these. */ -}}
ALTER TABLE swatch DROP COLUMN dab_linear;
ALTER TABLE swatch DROP COLUMN hide_linear;
ALTER TABLE swatch DROP COLUMN hide_lab;
