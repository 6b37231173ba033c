/* scenario.c: reads what happens to the vessel from a truth file and gives it
 * at any time, on straight lines between its rows. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "scenario.h"

#define COLUMNS 6
#define CELLS_MOST 64
#define ROWS_MOST 400000
#define LINE_MOST 2048

/* The logger's box lies in the shade and is warmed by its own electronics. The
 * numbers are invented. */
#define BOX_WARMER_C 2.0
#define BOX_WARMS_S 300.0

static const char *const names[COLUMNS] = {
	"time_s", "pressure_bar", "bead_c", "outer_sun_c", "outer_shade_c", "ambient_c",
};

static double (*rows)[COLUMNS];
static size_t count;
static int place[COLUMNS];

static int split(char *line, char *cell[])
{
	int n = 0;
	line[strcspn(line, "\r\n")] = 0;
	while (n < CELLS_MOST) {
		cell[n++] = line;
		line = strchr(line, ',');
		if (line == NULL)
			break;
		*line++ = 0;
	}
	return n;
}

static int header(char *line)
{
	char *cell[CELLS_MOST];
	int n = split(line, cell), i, j;
	for (i = 0; i < COLUMNS; i++) {
		place[i] = -1;
		for (j = 0; j < n; j++)
			if (strcmp(cell[j], names[i]) == 0)
				place[i] = j;
		if (place[i] < 0) {
			fprintf(stderr, "scenario: there is no column %s\n", names[i]);
			return 0;
		}
	}
	return 1;
}

static int row(char *line)
{
	char *cell[CELLS_MOST], *end;
	int n = split(line, cell), i;
	if (count % 1024 == 0) {
		void *more = realloc(rows, (count + 1024) * sizeof *rows);
		if (more == NULL)
			return 0;
		rows = more;
	}
	for (i = 0; i < COLUMNS; i++) {
		if (place[i] >= n)
			return 0;
		rows[count][i] = strtod(cell[place[i]], &end);
		if (end == cell[place[i]] || *end != 0)
			return 0;
	}
	if (count > 0 && !(rows[count][0] > rows[count - 1][0]))
		return 0;
	return ++count < ROWS_MOST;
}

int scenario_load(const char *path)
{
	static char line[LINE_MOST];
	unsigned long number = 0;
	FILE *f = fopen(path, "r");
	if (f == NULL) {
		perror(path);
		return 0;
	}
	while (fgets(line, sizeof line, f) != NULL)
		if (!(number++ == 0 ? header(line) : row(line))) {
			fprintf(stderr, "%s: line %lu can't be used\n", path, number);
			fclose(f);
			return 0;
		}
	fclose(f);
	return count >= 2;
}

void scenario_at(double time_s, conditions *c)
{
	static size_t at; /* time goes on, mostly */
	double share, v[COLUMNS];
	int i;
	if (at + 1 >= count || rows[at][0] > time_s)
		at = 0;
	while (at + 2 < count && rows[at + 1][0] <= time_s)
		at++;
	share = (time_s - rows[at][0]) / (rows[at + 1][0] - rows[at][0]);
	share = share < 0 ? 0 : share > 1 ? 1 : share;
	for (i = 0; i < COLUMNS; i++)
		v[i] = rows[at][i] + share * (rows[at + 1][i] - rows[at][i]);
	c->pressure_bar = v[1];
	c->probe_c[0] = v[2];
	c->probe_c[1] = v[3];
	c->probe_c[2] = v[4];
	c->ambient_c = v[5];
	c->junction_c = v[5] + BOX_WARMER_C * (2 - exp(-time_s / BOX_WARMS_S));
}

double scenario_end_s(void)
{
	return rows[count - 1][0];
}
