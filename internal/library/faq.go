package library

import (
	"context"
	"fmt"
	"slices"

	"github.com/pourwright/pourwright/internal/chat"
	"github.com/pourwright/pourwright/internal/fault"
	"github.com/pourwright/pourwright/internal/shop"
)

// FAQ finds the shop's answer on the topic that the option names, without
// case, then nearly: taken and said, or offered. Errors: not_found.
func FAQ(c *chat.Call, option string, all []shop.FAQ, use Use) (shop.FAQ, error) {
	typed := c.Text(option)
	topics := topicsOf(all)
	for i, t := range topics {
		if chat.Fold(t) == chat.Fold(typed) {
			return all[i], nil
		}
	}
	near := chat.Nearest(typed, topics)
	if len(near) > 0 && use == Take {
		c.Note(fmt.Sprintf("%q was read as %q.", fault.Echo(typed), near[0]))
		return all[slices.Index(topics, near[0])], nil
	}
	f := fault.New(fault.NotFound, "this shop has no answer on %q", fault.Echo(typed)).In(option).
		Hint("/shop faq lists the topics").Choose(near...)
	if len(near) > 0 {
		f.Hint("did you mean %q?", near[0])
	}
	return shop.FAQ{}, f
}

// SuggestFAQ completes a topic.
func SuggestFAQ(faqs shop.FAQs) chat.Suggest {
	return func(ctx context.Context, c *chat.Call, typed string) ([]chat.Choice, error) {
		all, err := faqs.FAQs(ctx, c.By)
		if err != nil {
			return nil, fmt.Errorf("list answers: %w", err)
		}
		return chat.Narrow(typed, topicsOf(all)), nil
	}
}

func topicsOf(all []shop.FAQ) []string {
	topics := make([]string, len(all))
	for i, f := range all {
		topics[i] = f.Topic
	}
	return topics
}

// FAQLine is the line that shows an answer, to the channel if post is true.
func FAQLine(topic string, post bool) string {
	raw := map[string]string{"topic": topic}
	if post {
		raw["show"] = "yes"
	}
	return chat.FormatLine("shop faq", raw, []string{"topic"})
}
