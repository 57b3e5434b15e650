package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"unicode/utf8"
)

// blank is a cell that stays empty where another would have a dash.
const blank = "\n"

const margin, gutter = 2, 3 // before a table, and between its columns

// table writes lines of cells in aligned columns, indented, below their headings. Where it
// would be too wide, columns whose heading begins with ~ have cells in several lines.
// Without lines it says that there are none.
func table(w io.Writer, headings string, lines [][]string) error {
	if len(lines) == 0 {
		_, err := fmt.Fprintln(w, "  none yet")
		return err
	}
	rows := [][]string{strings.Split(headings, "|")}
	for _, line := range lines {
		cells := slices.Clone(line)
		for i, c := range cells {
			if cells[i] = oneLine(c); c == blank {
				cells[i] = ""
			}
		}
		rows = append(rows, cells)
	}
	g := newGrid(rows)
	g.narrow()
	_, err := io.WriteString(w, g.String())
	return err
}

// grid is a table whose cells are folded to the widths of their columns.
type grid struct {
	rows  [][]string
	wide  []int // characters, of each column
	folds []bool
}

func newGrid(rows [][]string) *grid {
	g := &grid{rows: rows}
	for i, heading := range rows[0] {
		text, folds := strings.CutPrefix(heading, "~")
		rows[0][i], g.folds = text, append(g.folds, folds)
		g.wide = append(g.wide, g.widest(i, math.MaxInt))
	}
	return g
}

// widest returns how wide a column is whose cells are folded to a width, as far as their
// words let them.
func (g *grid) widest(column, to int) (n int) {
	for _, r := range g.rows {
		for _, line := range cellLines(r[column], to) {
			n = max(n, utf8.RuneCountInString(line))
		}
	}
	return n
}

// lines returns how many lines the grid has.
func (g *grid) lines() (n int) {
	for _, r := range g.rows {
		n += g.height(r)
	}
	return n
}

func (g *grid) height(row []string) (n int) {
	for i, c := range row {
		n = max(n, len(cellLines(c, g.wide[i])))
	}
	return n
}

// narrow folds columns, a word at a time, until the grid is no wider than a line may be:
// each time the one that costs the fewest lines for what it saves.
func (g *grid) narrow() {
	for {
		over := margin - gutter - lineLength
		for _, v := range g.wide {
			over += v + gutter
		}
		if over <= 0 {
			return
		}
		best, to, least, before := -1, 0, 0.0, g.lines()
		for i, was := range g.wide {
			if !g.folds[i] {
				continue
			}
			g.wide[i] = g.widest(i, was-1)
			saved := min(over, was-g.wide[i])
			cost := float64(g.lines()-before) / float64(saved)
			if saved > 0 && (best < 0 || cost < least) {
				best, to, least = i, g.wide[i], cost
			}
			g.wide[i] = was
		}
		if best < 0 { // of words that are too long
			return
		}
		g.wide[best] = to
	}
}

// String returns the lines of the grid.
func (g *grid) String() string {
	var out strings.Builder
	for _, row := range g.rows {
		for k := range g.height(row) {
			line := strings.Repeat(" ", margin)
			for i, c := range row {
				text := ""
				if folded := cellLines(c, g.wide[i]); k < len(folded) {
					text = folded[k]
				}
				line += text + strings.Repeat(" ", g.wide[i]-utf8.RuneCountInString(text)+gutter)
			}
			out.WriteString(strings.TrimRight(line, " ") + "\n")
		}
	}
	return out.String()
}

// cellLines returns the text of a cell in lines of at most that many characters; a longer
// word stays whole.
func cellLines(text string, most int) (lines []string) {
	for _, word := range strings.Fields(text) {
		last := len(lines) - 1
		if last >= 0 && utf8.RuneCountInString(lines[last]+" "+word) <= most {
			lines[last] += " " + word
		} else {
			lines = append(lines, word)
		}
	}
	return lines
}
