/* The march of suspension_lab/simulation/kernel.py in plain C: the yardstick of the speed test. */

#include <math.h>

typedef struct {
    double sprung, unsprung, tyre_k, tyre_c, squash, may_leave, rest, origin, per_travel;
    double fine, per_fine, coarse, per_coarse;
} constants_t;

static long piece(const double *path, double t, long i) {
    while (path[3 * (i + 1)] < t) i++;
    return i;
}

static double along(const double *path, double t, long i) {
    return path[3 * i + 1] + (t - path[3 * i]) * path[3 * i + 2];
}

static void forces(double body, double wheel, double body_v, double wheel_v, double road, double road_v, double hand,
                   const constants_t *c, const double *suspension, long travel_nodes, const double *damper, long half,
                   double *body_a, double *wheel_a, double *load_out) {
    double u = (c->rest + wheel - body - c->origin) * c->per_travel;
    long last = travel_nodes - 2;
    long i = !(u > 0.0) ? 0 : (u >= last ? last : (long)u);
    u -= i;
    const double *low = suspension + 3 * i;
    double force = low[0] + u * (low[3] - low[0]);
    double ratio = low[1] + u * (low[4] - low[1]);
    double friction = low[2] + u * (low[5] - low[2]);
    double v = ratio * (wheel_v - body_v);
    const double *row;
    if (-c->fine < v && v < c->fine) {
        u = (v + c->fine) * c->per_fine;
        row = damper;
    } else {
        u = (v + c->coarse) * c->per_coarse;
        row = damper + 2 * half;
    }
    last = half - 2;
    i = !(u > 0.0) ? 0 : (u >= last ? last : (long)u);
    row += 2 * i, u -= i;
    double damping = row[0] + u * (row[2] - row[0]);
    force += ratio * (damping + friction * (row[1] + u * (row[3] - row[1])));
    double load = c->tyre_k * (c->squash + road - wheel) + c->tyre_c * (road_v - wheel_v);
    if (c->may_leave > 0.0 && load < 0.0) load = 0.0;
    *body_a = (force + hand) / c->sprung - 9.80665;
    *wheel_a = (load - force) / c->unsprung - 9.80665;
    *load_out = load;
}

void march(long samples, double step, long substeps, const double *state, const double *constants,
           const double *suspension, long travel_nodes, const double *damper, long half, const double *road,
           const double *hand, const double *breaks, double *out) {
    const constants_t c = *(const constants_t *)constants;
    double body = state[0], wheel = state[1], body_v = state[2], wheel_v = state[3];
    long i_road = 0, i_hand = 0, i_break = 0, sample = 0;
    double usual = step / substeps, tiny = 1e-9 * usual, t = 0.0, load;
    int due = 1;
    for (;;) {
        double a1, a2, a3, a4, b1, b2, b3, b4;
        i_road = piece(road, t + tiny, i_road);
        i_hand = piece(hand, t + tiny, i_hand);
        double height = along(road, t, i_road), push = along(hand, t, i_hand);
        forces(body, wheel, body_v, wheel_v, height, road[3 * i_road + 2], push, &c, suspension, travel_nodes, damper,
               half, &a1, &b1, &load);
        if (due) {
            double *row = out + 10 * sample;
            row[0] = body, row[1] = wheel, row[2] = height, row[3] = body_v, row[4] = wheel_v;
            row[5] = a1, row[6] = b1, row[7] = load, row[8] = push, row[9] = 0.0;
            if (++sample == samples) return;
        }
        while (breaks[i_break] <= t + tiny) i_break++;
        double end = sample * step;
        due = end - t < usual + tiny;
        double until = due ? end : t + usual;
        if (breaks[i_break] < until - tiny) until = breaks[i_break], due = 0;
        double h = until - t, mid = 0.5 * h;
        i_road = piece(road, t + mid, i_road);
        i_hand = piece(hand, t + mid, i_hand);
        height = along(road, t + mid, i_road), push = along(hand, t + mid, i_hand);
        double slope = road[3 * i_road + 2];
        double body_v2 = body_v + mid * a1, wheel_v2 = wheel_v + mid * b1;
        forces(body + mid * body_v, wheel + mid * wheel_v, body_v2, wheel_v2, height, slope, push, &c, suspension,
               travel_nodes, damper, half, &a2, &b2, &load);
        double body_v3 = body_v + mid * a2, wheel_v3 = wheel_v + mid * b2;
        forces(body + mid * body_v2, wheel + mid * wheel_v2, body_v3, wheel_v3, height, slope, push, &c, suspension,
               travel_nodes, damper, half, &a3, &b3, &load);
        i_road = piece(road, until - tiny, i_road);
        i_hand = piece(hand, until - tiny, i_hand);
        double body_v4 = body_v + h * a3, wheel_v4 = wheel_v + h * b3;
        forces(body + h * body_v3, wheel + h * wheel_v3, body_v4, wheel_v4, along(road, until, i_road),
               road[3 * i_road + 2], along(hand, until, i_hand), &c, suspension, travel_nodes, damper, half, &a4, &b4,
               &load);
        body += h / 6.0 * (body_v + 2.0 * body_v2 + 2.0 * body_v3 + body_v4);
        wheel += h / 6.0 * (wheel_v + 2.0 * wheel_v2 + 2.0 * wheel_v3 + wheel_v4);
        body_v += h / 6.0 * (a1 + 2.0 * a2 + 2.0 * a3 + a4);
        wheel_v += h / 6.0 * (b1 + 2.0 * b2 + 2.0 * b3 + b4);
        t = until;
    }
}
