#include "cli/help.h"

#include "report/page.h"

static void put_usage(struct page *page, const struct command *command)
{
  for (size_t i = 0; i < COMMAND_MAX_USAGE && command->usage[i]; i++) {
    page_item(page, i == 0 ? 0 : 7, 7, i == 0 ? "usage:" : "");
    page_say(page, "firstfetch ");
    page_say(page, command->name);
    page_say(page, " ");
    page_say(page, command->usage[i]);
    page_end(page);
  }
}

void help_program(FILE *to)
{
  struct page page;
  page_open(&page, to);
  page_line(&page, 0, "usage: firstfetch COMMAND ...");
  page_gap(&page);
  page_line(&page, 0,
            "Where does a microcontroller begin to execute, and why? "
            "firstfetch plays a script of power, resets and probe on a "
            "described part, with the real image, and tells each start.");
  page_gap(&page);
  for (size_t i = 0; commands[i]; i++) {
    page_item(&page, 2, 12, commands[i]->name);
    page_say(&page, commands[i]->sentence);
    page_end(&page);
  }
  page_gap(&page);
  page_line(&page, 0, "firstfetch help COMMAND tells more about one of them.");
}

void help_command(FILE *to, const struct command *command)
{
  struct page page;
  page_open(&page, to);
  put_usage(&page, command);
  page_gap(&page);
  page_line(&page, 0, command->sentence);
  page_gap(&page);
  options_help(&page, command->options, command->option_count);
  if (!command->more) return;
  page_gap(&page);
  page_line(&page, 0, command->more);
}
