package runlog

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"fillwright/internal/recording"
	"fillwright/internal/vessel"
	"fillwright/internal/wire"
	"fillwright/internal/wrongfile"
)

// WriteLog makes a new run log out of a source: a LogStart, the texts in force
// and every frame. It never writes into an existing file. When the source fails
// the unfinished log is removed again. It returns how many frames of the source
// it wrote.
func WriteLog(path string, start wire.LogStart, texts *wire.Texts, src recording.Source) (n int, err error) {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, os.ErrExist) {
		return 0, &wrongfile.Error{File: path, What: "is there already and is not overwritten", Do: "give a new name, like " + shellQuote(freeName(path, ".fill"))}
	}
	if err != nil {
		return 0, &wrongfile.Error{File: path, What: "can't be made", Err: cause(err)}
	}
	n, err = writeLog(f, start, texts, src)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return 0, errors.Join(err, os.Remove(path))
	}
	return n, nil
}

func writeLog(f io.Writer, start wire.LogStart, texts *wire.Texts, src recording.Source) (n int, err error) {
	start.Version = wire.Version
	out := bufio.NewWriter(f)
	buf, _, err := wire.AppendTexts(wire.AppendLogStart(nil, 0, start), 1, texts)
	if err != nil {
		return 0, err
	}
	if _, err := out.Write(buf); err != nil {
		return 0, err
	}
	err = recording.Each(src, func(f wire.Frame) error {
		buf = wire.AppendFrame(buf[:0], f.Type, f.Seq, f.Body)
		n++
		_, err := out.Write(buf)
		return err
	})
	return n, errors.Join(err, out.Flush())
}

// ReplaceChannels takes the channel tables out of a profile's text and puts
// others in their place, so that the text fits frames made from a CSV file.
// Everything else, remarks too, stays as it was. The result is parsed before it
// is returned: an error says that this form of the text can't be changed.
func ReplaceChannels(file string, profile []byte, channels []vessel.Channel) ([]byte, error) {
	var out bytes.Buffer
	inside := false
	for line := range bytes.Lines(profile) {
		if t := bytes.TrimSpace(line); bytes.HasPrefix(t, []byte("[")) {
			inside = bytes.HasPrefix(t, []byte("[[channel]]"))
		}
		if !inside {
			out.Write(line)
		}
	}
	out.WriteString("\n# Channels of the table that this was imported from.\n")
	for _, ch := range channels {
		fmt.Fprintf(&out, "\n[[channel]]\nindex = %d\nrole = %q\nkind = %q\n", ch.Index, ch.Role, ch.Kind)
		if ch.Station != "" {
			fmt.Fprintf(&out, "station = %q\n", ch.Station)
		}
		if ch.End != vessel.EndNone {
			fmt.Fprintf(&out, "end = %q\n", ch.End)
		}
	}
	p, err := vessel.Parse(file, out.Bytes())
	if err != nil {
		first, _, _ := strings.Cut(err.Error(), "\n")
		return nil, &wrongfile.Error{File: file, What: "its channels can't be replaced by those of the table", Err: errors.New(first),
			Do: "write each channel as a [[channel]] table"}
	}
	if len(p.Channels) != len(channels) {
		return nil, &wrongfile.Error{File: file, What: "its channels can't be replaced by those of the table", Do: "write each channel as a [[channel]] table"}
	}
	return out.Bytes(), nil
}
