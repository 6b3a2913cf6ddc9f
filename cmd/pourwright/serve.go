package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/sync/errgroup"

	"github.com/pourwright/pourwright/internal/board"
	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/config"
	"github.com/pourwright/pourwright/internal/discord"
	"github.com/pourwright/pourwright/internal/mesh"
)

// serveRate is how often one member may ask, and how often a whole shop:
// bursts while trying things out, and no flood of one that keeps others waiting.
var serveRate = chat.Rate{PerMinute: 30, Burst: 15, ShopPerMinute: 600, ShopBurst: 150}

// noToken says how to get one.
const noToken = `make an application with a bot on https://discord.com/developers/applications and copy the bot's token,
then set ` + config.EnvPrefix + `TOKEN to it, or put it into a file with mode 600 and set token_file to that file`

func (p *program) serveVerb() *cobra.Command {
	c := &cobra.Command{
		Use: "serve [flags]", Short: "answer in a chat server", Args: cobra.NoArgs,
		Long: "Answer slash commands, buttons and forms in a chat server until a signal ends it.\nTo get a token, which is never a flag: " + noToken + ".",
		RunE: p.serve,
	}
	settingFlags(c.Flags(), "db", "application_id", "api_base", "shards", "shard", "token_file", "board_listen", "ops_listen", "retention_days",
		"http_listen", "public_key", "http_tls_cert", "http_tls_key")
	return c
}

// settingFlags adds flags for some settings; their defaults are those of the
// settings.
func settingFlags(to *pflag.FlagSet, names ...string) {
	for _, k := range config.Keys() {
		for _, name := range names {
			if k.Name == name {
				to.String(strings.ReplaceAll(k.Name, "_", "-"), k.Default, k.Help)
			}
		}
	}
}

// chatService is the edge's configuration, refusing to begin without a token.
func (p *program) chatService(cfg *config.Config, verb string) (discord.Config, error) {
	if !cfg.Token.Set() {
		return discord.Config{}, misused("%s needs a bot token:\n%s", verb, noToken)
	}
	return p.serviceOf(cfg), nil
}

func (p *program) serviceOf(cfg *config.Config) discord.Config {
	return discord.Config{
		Token: cfg.Token.Reveal(), ApplicationID: cfg.ApplicationID, APIBase: cfg.APIBase,
		Shards: cfg.Shards, Shard: cfg.Shard, Version: shortVersion(), Now: p.Now, AnswerIn: p.AnswerIn,
		Listen: cfg.HTTPListen, PublicKey: cfg.PublicKey, TLSCert: cfg.HTTPTLSCert, TLSKey: cfg.HTTPTLSKey,
	}
}

func (p *program) serve(c *cobra.Command, _ []string) (err error) {
	cfg, log, err := p.settings(c)
	if err != nil {
		return err
	}
	service, err := p.servedService(cfg)
	if err != nil {
		return err
	}
	service.Log = log
	watch, err := p.newWatch(cfg.OpsListen, log)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, watch.Close()) }()
	service.Watch = watch.service()
	db, err := p.openDB(c.Context(), cfg.DB, watch.store())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	desk, err := p.newDesk(db, log, mesh.ChatLimits(), serveRate, cfg.BoardListen, watch.desk())
	if err != nil {
		return err
	}
	way, err := newWayIn(service, desk)
	if err != nil {
		return misuse{err}
	}
	defer func() { err = errors.Join(err, way.close()) }()
	var wall *board.Wall
	if cfg.BoardListen != "" {
		if wall, err = p.newWall(db, cfg.BoardListen, log); err != nil {
			return err
		}
		defer func() { err = errors.Join(err, wall.Close()) }()
	}
	loop := p.callsBack(db, "discord", way, desk, log, watch.loop())
	watch.know(p, desk, db, way, loop)
	log.Info("serving", "version", service.Version, "db", db.Path())
	err = watch.around(c.Context(), func(ctx context.Context) error {
		group, ctx := errgroup.WithContext(ctx)
		group.Go(func() error { return way.Run(ctx) })
		if wall != nil {
			group.Go(func() error { return wall.Run(ctx) })
		}
		group.Go(func() error { return loop.Run(ctx) })
		if cfg.RetentionDays > 0 {
			group.Go(func() error { return p.tidies(db, cfg.RetentionDays, log, watch.tidy()).Run(ctx) })
		}
		group.Go(func() error {
			// The way in says for itself whether the service can be reached.
			if url, err := inviteURL(ctx, service); err == nil {
				log.Info("to invite the bot, open", "url", url)
			}
			return nil
		})
		return group.Wait()
	})
	if err != nil {
		return ofSettings(fmt.Errorf("serve: %w", err))
	}
	log.Info("ended; answers under way were finished")
	return nil
}

// ofSettings marks what the service refuses for good as a wrong setting. Its
// status tells whoever restarts the program that this mends nothing: each start
// would be one refusal more, or one of the day's sessions less.
func ofSettings(err error) error {
	var closed *discord.FatalError
	if errors.Is(err, discord.ErrUnauthorized) || errors.As(err, &closed) {
		return misuse{err}
	}
	return err
}

// inviteURL is where the bot is added to a server. The application's id is
// asked from the service if it is not set.
func inviteURL(ctx context.Context, service discord.Config) (string, error) {
	if service.ApplicationID != "" {
		return discord.InviteURL(service.ApplicationID), nil
	}
	ctx, cancel := context.WithTimeout(ctx, tokenPatience)
	defer cancel()
	h, err := discord.Check(ctx, service)
	if err != nil {
		return "", err
	}
	return discord.InviteURL(h.ApplicationID), nil
}
