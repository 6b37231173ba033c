package port

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
)

// pointLink makes link a symbolic link to target, in one move, so that nobody
// meets a moment without it. Only a link that an earlier mimic left, to another
// pseudo-terminal, is replaced.
func pointLink(link, target string) error {
	info, err := os.Lstat(link)
	switch {
	case err == nil && info.Mode()&fs.ModeSymlink == 0:
		return fmt.Errorf("%s is there already and is not a symbolic link; give another path", link)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("can't make the link %s: %w", link, err)
	}
	if err == nil {
		before, err := os.Readlink(link)
		if err != nil {
			return fmt.Errorf("can't look at the link %s: %w", link, err)
		}
		if unnumbered(before) != unnumbered(target) {
			return fmt.Errorf("%s is a link to %s, which is no pseudo-terminal, and is not replaced; give another path", link, before)
		}
	}
	fresh := fmt.Sprintf("%s.%d", link, os.Getpid())
	if err := os.Symlink(target, fresh); err != nil {
		return fmt.Errorf("can't make the link %s: %w", link, err)
	}
	if err := os.Rename(fresh, link); err != nil {
		return errors.Join(fmt.Errorf("can't make the link %s: %w", link, err), os.Remove(fresh))
	}
	return nil
}

// unnumbered is a pseudo-terminal's path without its number: the same for all of
// a system.
func unnumbered(path string) string { return strings.TrimRight(path, "0123456789") }

// dropLink removes link if it still points to target: another mimic may have
// taken it over.
func dropLink(link, target string) error {
	now, err := os.Readlink(link)
	if errors.Is(err, fs.ErrNotExist) || (err == nil && now != target) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("can't look at the link %s: %w", link, err)
	}
	if err := os.Remove(link); err != nil {
		return fmt.Errorf("can't remove the link %s: %w", link, err)
	}
	return nil
}
