/*
 * A current source that libmodbus 3.1 (LGPL-2.1) serves over TCP to one client after the other. Only the functions used
 * are declared here, so that the run-time library is enough.
 *
 *   libmodbus-instrument PORT     says "ready" when it listens; ends when it is told to
 *
 * Holding registers: 0-23 maker, model, serial number (8 each), 40 current in uA (taken as it is written).
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct _modbus modbus_t;
typedef struct {
  int nb_bits, start_bits, nb_input_bits, start_input_bits;
  int nb_input_registers, start_input_registers, nb_registers, start_registers;
  uint8_t *tab_bits, *tab_input_bits;
  uint16_t *tab_input_registers, *tab_registers;
} modbus_mapping_t;
modbus_t *modbus_new_tcp(const char *ip, int port);
int modbus_tcp_listen(modbus_t *ctx, int backlog);
int modbus_tcp_accept(modbus_t *ctx, int *socket);
int modbus_receive(modbus_t *ctx, uint8_t *request);
int modbus_reply(modbus_t *ctx, const uint8_t *request, int length, modbus_mapping_t *mapping);
modbus_mapping_t *modbus_mapping_new(int bits, int inputs, int registers, int input_registers);

static void put(uint16_t *into, const char *text) {
  for (int i = 0; i < 8; i++) {
    int a = 2 * i < (int)strlen(text) ? text[2 * i] : 0;
    int b = 2 * i + 1 < (int)strlen(text) ? text[2 * i + 1] : 0;
    into[i] = (uint16_t)(a << 8 | b);
  }
}

int main(int count, char **words) {
  if (count != 2) return 2;
  modbus_t *line = modbus_new_tcp("127.0.0.1", atoi(words[1]));
  modbus_mapping_t *map = modbus_mapping_new(0, 0, 60, 10);
  uint8_t request[260];
  int listening = modbus_tcp_listen(line, 1);
  if (listening < 0 || map == NULL) return 1;
  put(map->tab_registers, "Harbour Forge");
  put(map->tab_registers + 8, "HF-9");
  put(map->tab_registers + 16, "HF-9-0007");
  puts("ready");
  fflush(stdout);
  for (;;) {
    if (modbus_tcp_accept(line, &listening) < 0) return 1;
    int length;
    while ((length = modbus_receive(line, request)) >= 0) modbus_reply(line, request, length, map);
  }
}
