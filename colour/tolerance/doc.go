// Package tolerance decides: how sure a colour difference is, and what a maker
// should do about it. It knows readings and limits, and neither photos nor
// records.
package tolerance
