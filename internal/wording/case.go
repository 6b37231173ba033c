package wording

import "strings"

// Capital begins a cause as a sentence.
func Capital(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}

// Sentence ends a cause with a full stop; without a cause the name must do.
func Sentence(cause, name string) string {
	if cause == "" {
		cause = name
	}
	if strings.HasSuffix(cause, ".") || strings.HasSuffix(cause, "!") {
		return cause
	}
	return cause + "."
}

// Lower makes a sentence the second half of one.
func Lower(s string) string {
	if len(s) > 1 && s[0] >= 'A' && s[0] <= 'Z' && (s[1] == ' ' || s[1] >= 'a' && s[1] <= 'z') {
		return string(s[0]-'A'+'a') + s[1:]
	}
	return s
}
