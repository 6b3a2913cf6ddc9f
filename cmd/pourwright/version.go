package main

import (
	"fmt"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"
)

func (p *program) versionVerb() *cobra.Command {
	return &cobra.Command{
		Use: "version", Short: "say which build this is", Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			info, _ := debug.ReadBuildInfo()
			_, err := fmt.Fprintf(p.Out, "pourwright %s, %s %s/%s\n", versionText(info), runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return err
		},
	}
}

// versionText is the module's version and the commit it was built from, as far
// as the build knew them.
func versionText(info *debug.BuildInfo) string {
	if info == nil {
		return "(unknown build)"
	}
	text := info.Main.Version
	if text == "" || text == "(devel)" {
		text = "devel"
	}
	set := map[string]string{}
	for _, s := range info.Settings {
		set[s.Key] = s.Value
	}
	if rev := set["vcs.revision"]; rev != "" {
		text += fmt.Sprintf(" (commit %.12s", rev)
		if t := set["vcs.time"]; t != "" {
			text += " of " + t
		}
		if set["vcs.modified"] == "true" {
			text += ", with changes"
		}
		text += ")"
	}
	return text
}

// shortVersion is the module's version alone, for a header.
func shortVersion() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" || info.Main.Version == "(devel)" {
		return "devel"
	}
	return info.Main.Version
}
