package screen

import (
	"math"
	"strings"
)

// apart says whether what a second screen has is not of now. What is old at the
// watch itself is another matter, and shown as there.
func (v *view) apart() bool { return v.second && !(v.apartS <= oldAfterS) }

// secondWhy is the reason on a second screen on which nothing is of now. What
// was last known is told as past: an order that is old must not be followed, and
// an abort must not be forgotten.
func (v *view) secondWhy() string {
	text := "Nothing has come from the watch for " + ageText(v.apartS) + ". Ask the operator. "
	if math.IsInf(v.apartS, 1) {
		text = "Reading what was recorded; it is not of now yet. "
	}
	w := verdictWords[min(int(v.now.Advice.Verdict), len(verdictWords)-1)]
	if verdictIsAbort(v.now.Advice.Verdict) {
		text += "Last known there: " + strings.TrimSpace(w.big+" "+w.tail) + ". "
	}
	return text
}
