package report

import (
	"strings"
	"unicode/utf8"
)

// widest is how many characters of names a line of a table takes, so that a terminal
// shows it whole.
const widest = 60

// wrapped lists names in lines of about that width. Of pieces of one photo all but the
// first in a line go without the photo's name: "bench/1, 2, 4". What follows a name
// after a space, "bench/3 (hold)", stays with it.
func wrapped(names []string) (lines []string) {
	line, before := "", ""
	for _, name := range names {
		photo := ""
		if at := strings.LastIndexByte(name, '/'); at >= 0 {
			photo = name[:at+1]
		}
		more := name
		if photo == before {
			more = strings.TrimPrefix(name, photo)
		}
		switch {
		case line == "":
			line = name
		case utf8.RuneCountInString(line+more) > widest:
			lines, line = append(lines, line+","), name
		default:
			line += ", " + more
		}
		before = photo
	}
	return append(lines, line)
}

// withNames returns the lines of a table that begin with cells and have names, if
// there are any, in the last column.
func withNames(cells []string, names []string) (lines [][]string) {
	for i, line := range wrapped(names) {
		if i > 0 {
			cells = []string{blank, blank}
		}
		lines = append(lines, append(cells[:2:2], line))
	}
	return lines
}
