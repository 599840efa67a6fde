/*
 * The C witness of the benchmark: libmodbus 3.1 (LGPL-2.1) as the server of ten registers, or as a client that reads two
 * of them again and again. Only the functions used are declared here, so that the run-time library is enough.
 *
 *   libmodbus-loop server PORT            says "ready" and serves one client after the other until it is ended
 *   libmodbus-loop client PORT COUNT      prints the seconds that COUNT reads took
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

typedef struct _modbus modbus_t;
typedef struct _modbus_mapping_t modbus_mapping_t;
modbus_t *modbus_new_tcp(const char *ip, int port);
int modbus_connect(modbus_t *ctx);
int modbus_set_slave(modbus_t *ctx, int slave);
int modbus_read_registers(modbus_t *ctx, int address, int count, uint16_t *into);
int modbus_tcp_listen(modbus_t *ctx, int backlog);
int modbus_tcp_accept(modbus_t *ctx, int *socket);
int modbus_receive(modbus_t *ctx, uint8_t *request);
int modbus_reply(modbus_t *ctx, const uint8_t *request, int length, modbus_mapping_t *mapping);
modbus_mapping_t *modbus_mapping_new(int bits, int inputs, int registers, int input_registers);

static int serve(int port) {
  modbus_t *line = modbus_new_tcp("127.0.0.1", port);
  modbus_mapping_t *mapping = modbus_mapping_new(0, 0, 10, 10);
  uint8_t request[260];
  int listening = modbus_tcp_listen(line, 1);
  if (listening < 0 || mapping == NULL) return 1;
  puts("ready");
  fflush(stdout);
  for (;;) {
    if (modbus_tcp_accept(line, &listening) < 0) return 1;
    int length;
    while ((length = modbus_receive(line, request)) >= 0) modbus_reply(line, request, length, mapping);
  }
}

static int ask(int port, int count) {
  modbus_t *line = modbus_new_tcp("127.0.0.1", port);
  uint16_t registers[2];
  struct timespec from, to;
  if (modbus_connect(line) < 0) return 1;
  modbus_set_slave(line, 1);
  clock_gettime(CLOCK_MONOTONIC, &from);
  for (int i = 0; i < count; i++) {
    if (modbus_read_registers(line, 0, 2, registers) != 2) return 1;
  }
  clock_gettime(CLOCK_MONOTONIC, &to);
  printf("%.6f\n", (double)(to.tv_sec - from.tv_sec) + (double)(to.tv_nsec - from.tv_nsec) / 1e9);
  return 0;
}

int main(int count, char **words) {
  if (count == 3 && strcmp(words[1], "server") == 0) return serve(atoi(words[2]));
  if (count == 4 && strcmp(words[1], "client") == 0) return ask(atoi(words[2]), atoi(words[3]));
  fputs("usage: libmodbus-loop server PORT | client PORT COUNT\n", stderr);
  return 2;
}
