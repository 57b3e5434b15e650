package report

import (
	"fmt"
	"io"
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

// say prints a sentence.
func say(w io.Writer, format string, args ...any) {
	fmt.Fprintln(w, Folded(fmt.Sprintf(format, args...)))
}

// lineLength is how many characters a printed line has at most.
const lineLength = 120

// Folded returns a sentence in lines of at most that many characters, those after the first
// a little further in. A longer word stays whole.
func Folded(sentence string) string {
	indent := len(sentence) - len(strings.TrimLeft(sentence, " "))
	var lines []string
	line, long := "", 0
	for word := range strings.SplitSeq(sentence[indent:], " ") {
		n := utf8.RuneCountInString(word)
		switch {
		case line == "":
			line, long = sentence[:indent]+word, indent+n
		case long+1+n > lineLength:
			lines = append(lines, line)
			line, long = strings.Repeat(" ", indent+2)+word, indent+2+n
		default:
			line, long = line+" "+word, long+1+n
		}
	}
	return strings.Join(append(lines, line), "\n")
}
