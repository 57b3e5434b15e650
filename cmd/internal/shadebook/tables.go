package shadebook

import "strings"

// table is a table as it is exported, its rows in the order of key.
type table struct {
	name    string
	key     string
	columns []column
}

type column struct {
	name string
	form form
}

// form is how a column's values are written.
type form byte

const (
	words   form = 0   // text
	whole   form = '#' // a whole number
	real    form = '~' // a number
	moments form = '@' // a time
	nested  form = '{' // JSON
	binary  form = '*' // base64
)

// tables returns all tables, each after those that its records name.
func tables() []table {
	return []table{
		newTable("colour", "id", "id# name added_at@"),
		newTable("colour_state", "id", "id# colour_id# at@ tolerance~ blotch_tolerance~ kl~ coats# blend{ drying_hours~ notes"),
		newTable("swatch", "id", "id# colour_id# l~ a~ b~ cov{ print_cov{ photos{ light camera card card_measured# taken_at@ kept_at@"),
		newTable("hide", "id", "id# name lot thickness_mm~ finish notes added_at@"),
		newTable("bottle", "id", "id# name dye maker_lot opened_at@ notes added_at@"),
		newTable("batch", "id", "id# name colour_id# opened_at@ opened_by"),
		newTable("decision", "id", "id# batch_id# says decided_by at@ why corrects# state_id# verdicts{"),
		newTable("piece", "id", "id# name colour_id# hide_id# batch_id# added_at@"),
		newTable("coat", "id", "id# piece_id# number# applied_at@ temperature~ bottle_id# blend added_at@"),
		newTable("coat_drop", "id", "id# coat_id# dropped_by at@ why"),
		newTable("photo_check", "id", "id# kind colour_id# batch_id# bottle_id# file sha256 taken_at@ camera problem reference{ stored_at@ corrects#"),
		newTable("check_piece", "check_id, number", "check_id# number# piece_id# name verdict l~ a~ b~ cov{ de00~ u~ low~ high~ blotch~ strength~"),
		newTable("check_evidence", "check_id", "check_id# result{ picture*"),
		newTable("photo_drop", "id", "id# check_id# dropped_by at@ why"),
		newTable("recipe", "id", "id# colour_id# parts{ ml~ de00~ low~ high~ at@ note"),
	}
}

// newTable reads columns, each with the sign of its form.
func newTable(name, key, columns string) table {
	t := table{name: name, key: key}
	for c := range strings.FieldsSeq(columns) {
		end := len(c)
		f := words
		if last := form(c[end-1]); strings.ContainsRune("#~@{*", rune(last)) {
			f, end = last, end-1
		}
		t.columns = append(t.columns, column{c[:end], f})
	}
	return t
}

func (t table) columnNames() []string {
	var names []string
	for _, c := range t.columns {
		names = append(names, c.name)
	}
	return names
}
