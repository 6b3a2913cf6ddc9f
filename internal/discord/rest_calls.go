package discord

import (
	"context"
	"net/http"
	"net/url"
)

// gatewayBot is what the service says about connecting.
type gatewayBot struct {
	URL    string `json:"url"`
	Shards int    `json:"shards"`
	Start  struct {
		Total          int   `json:"total"`
		Remaining      int   `json:"remaining"`
		ResetAfter     int64 `json:"reset_after"` // milliseconds
		MaxConcurrency int   `json:"max_concurrency"`
	} `json:"session_start_limit"`
}

const gatewayPattern = "/gateway/bot"

func (r *rest) gatewayBot(ctx context.Context) (g gatewayBot, err error) {
	err = r.do(ctx, &call{method: http.MethodGet, pattern: gatewayPattern, path: gatewayPattern}, &g)
	return g, err
}

// application is the part of the bot's own application that we read.
type application struct {
	ID        string `json:"id"`
	Name      string `json:"name"`
	VerifyKey string `json:"verify_key"`
}

// application asks which application the token belongs to.
func (r *rest) application(ctx context.Context) (a application, err error) {
	err = r.do(ctx, &call{method: http.MethodGet, pattern: "/applications/@me", path: "/applications/@me"}, &a)
	return a, err
}

const commandsPattern = "/applications/{application}/commands"

// commands reads the registered commands with all their localizations.
func (r *rest) commands(ctx context.Context, app string) (list []command, err error) {
	err = r.do(ctx, &call{method: http.MethodGet, pattern: commandsPattern, path: pathOf(commandsPattern, app),
		query: url.Values{"with_localizations": {"true"}}}, &list)
	return list, err
}

// putCommands replaces all registered commands.
func (r *rest) putCommands(ctx context.Context, app string, list []command) error {
	return r.do(ctx, &call{method: http.MethodPut, pattern: commandsPattern, path: pathOf(commandsPattern, app),
		body: list}, nil)
}

const callbackPattern = "/interactions/{interaction}/{token}/callback"

// answer sends the first answer to an interaction. It is never repeated: the
// service takes one, and a repeat after a lost connection would be an error.
func (r *rest) answer(ctx context.Context, i *Interaction, body callback, files []upload) error {
	return r.do(ctx, &call{method: http.MethodPost, pattern: callbackPattern, path: pathOf(callbackPattern, i.ID, i.Token),
		major: i.ID + "/" + i.Token, hook: true, body: body, files: files}, nil)
}

const originalPattern = "/webhooks/{application}/{token}/messages/@original"

// edit replaces the first answer's message; sending it twice does no harm.
func (r *rest) edit(ctx context.Context, i *Interaction, body message, files []upload) error {
	return r.do(ctx, &call{method: http.MethodPatch, pattern: originalPattern, path: pathOf(originalPattern, i.ApplicationID, i.Token),
		major: i.ApplicationID + "/" + i.Token, hook: true, body: body, files: files}, nil)
}

const followPattern = "/webhooks/{application}/{token}"

// follow adds a message to an answered interaction.
func (r *rest) follow(ctx context.Context, i *Interaction, body message, files []upload) error {
	return r.do(ctx, &call{method: http.MethodPost, pattern: followPattern, path: pathOf(followPattern, i.ApplicationID, i.Token),
		major: i.ApplicationID + "/" + i.Token, hook: true, body: body, files: files}, nil)
}
