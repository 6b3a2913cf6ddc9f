package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/discord"
	"github.com/pourwright/pourwright/internal/mesh"
	"github.com/pourwright/pourwright/internal/store/sqlite"
)

func (p *program) registerVerb() *cobra.Command {
	var dryRun bool
	c := &cobra.Command{
		Use: "register [flags]", Short: "compare the slash commands with the chat service's list, then write it", Args: cobra.NoArgs,
		Long: "Compare the slash commands with the list that the chat service has, print the difference, and write the list if there is one.",
	}
	settingFlags(c.Flags(), "application_id", "api_base", "token_file")
	c.Flags().BoolVar(&dryRun, "dry-run", false, "print the difference and write nothing")
	c.RunE = func(c *cobra.Command, _ []string) error { return p.register(c, dryRun) }
	return c
}

func (p *program) register(c *cobra.Command, dryRun bool) (err error) {
	cfg, log, err := p.settings(c)
	if err != nil {
		return err
	}
	service, err := p.chatService(cfg, "register")
	if err != nil {
		return err
	}
	service.Log = log
	// Declarations need something to stand on; nothing of it is asked.
	db, err := sqlite.Memory(c.Context(), sqlite.Config{Rand: p.Rand})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	desk, err := p.newDesk(db, log, mesh.ChatLimits(), chat.Rate{}, cfg.BoardListen, nil)
	if err != nil {
		return err
	}
	if err := discord.Register(c.Context(), service, desk.Commands(), dryRun, p.Out); err != nil {
		return ofSettings(err)
	}
	if dryRun {
		return nil
	}
	url, err := inviteURL(c.Context(), service)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(p.Out, "To invite the bot to a server, open %s\n", url)
	return err
}
