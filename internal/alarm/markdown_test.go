package alarm

import (
	"os"
	"strings"
	"testing"
)

// TestMarkdown proves that each row has every column.
func TestMarkdown(t *testing.T) {
	lines := strings.Split(strings.TrimSuffix(Markdown(), "\n"), "\n")
	if len(lines) != len(definitions)+2 {
		t.Fatalf("%d lines", len(lines))
	}
	for _, l := range lines {
		if strings.Count(l, "|") != strings.Count(lines[0], "|") || strings.Contains(l, "|  |") {
			t.Errorf("blank or lost column: %s", l)
		}
	}
}

// TestReadme proves that the alarm table in README.md is the one in force.
func TestReadme(t *testing.T) {
	data, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, begin := strings.Cut(string(data), MarkdownBegin+"\n")
	block, _, end := strings.Cut(rest, MarkdownEnd)
	if !begin || !end {
		t.Fatalf("README.md needs the alarm table between these two lines:\n%s\n%s%s", MarkdownBegin, Markdown(), MarkdownEnd)
	}
	if strings.TrimSpace(block) != strings.TrimSpace(Markdown()) {
		t.Errorf("README.md has another alarm table; put this between its marks:\n%s", Markdown())
	}
}
