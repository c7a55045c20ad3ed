/* core.h -- the processor as state, and the one way to let it run.
 *
 * struct core is the state of record. An instruction engine (cpu.h) loads it
 * on entry, executes, and stores it on exit; everything that is not the
 * execution of one plain instruction -- reset, exceptions, faults, lockup,
 * sleep, debug, special registers, the system control space -- is done here
 * and in the files beside it, once, for every engine.
 *
 *            core_hold                core_reset
 *   any  ------------------> HELD ------------------> RUNNING
 *   any  --core_power_off--> OFF  --core_hold-------> HELD
 *
 *   from      to        when
 *   HELD      RUNNING   core_reset
 *   HELD      HALTED    core_reset with reset catch armed and debug enabled
 *   HELD      LOCKUP    core_reset, a vector could not be read
 *   RUNNING   SLEEPING  WFI, or WFE without a pending event; sleep-on-exit
 *   SLEEPING  RUNNING   core_pend, core_event
 *   RUNNING   LOCKUP    a fault at HardFault priority or above
 *   LOCKUP    RUNNING   core_pend of NMI, if locked up at HardFault priority
 *   RUNNING   HALTED    core_halt; BKPT with debug enabled; HardFault catch
 *   LOCKUP    HALTED    core_halt
 *   SLEEPING  HALTED    core_halt
 *   HALTED    RUNNING   core_go
 *
 * The rule a reader would get wrong: `cycle` counts core clock edges since
 * the script began and never restarts, through resets and with other clocks.
 * It stands still while the mode is OFF, HELD, SLEEPING, HALTED or LOCKUP; the
 * chip moves it on for them (core_idle). During a bus callback it is the
 * cycle of that callback.
 *
 * Reports: TRACE_ENTER, TRACE_RAN, TRACE_MARK, TRACE_MODE at every change of
 * mode, TRACE_VECTORS from core_reset, TRACE_EXCEPTION with the address that
 * will be returned to, TRACE_EXCEPTION_END with the address returned to,
 * TRACE_LOCKUP with the address whose fault locked the core up and the
 * priority without its sign (1 HardFault, 2 NMI).
 *
 * Not modelled: tail-chaining and late arrival on v6-M (a return and an entry
 * are made one after the other, with the same result in registers and
 * memory); the abandoning of VLDM, VSTM, VDIV and VSQRT by an interrupt, which
 * waits for their end; a memory protection unit; big-endian data. Unprivileged
 * threads are there on M0+, M3 and M4, and not on M0.
 *
 * Owns: nothing but its fields.
 */
#ifndef CORE_CORE_H
#define CORE_CORE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/units.h"
#include "core/bus.h"
#include "describe/part.h"

struct fold;

struct cpu;

enum core_mode {
  CORE_OFF,
  CORE_HELD,
  CORE_RUNNING,
  CORE_SLEEPING,
  CORE_HALTED,
  CORE_LOCKUP
};

/* Why core_run came back. */
enum core_stop {
  CORE_STOP_DEADLINE,  /* cycle >= deadline, at an instruction boundary or
                          within one that can be broken off (`progress`) */
  CORE_STOP_ATTENTION, /* core_attend was called, from a bus access, say */
  CORE_STOP_SLEEP,
  CORE_STOP_HALTED,
  CORE_STOP_LOCKUP,
  CORE_STOP_RESET /* off, or held in reset */
};

/* Exception numbers, ARM DDI 0419E Table B1-3; 4 to 6 and 12 on v7-M only. */
enum {
  EXCEPTION_RESET = 1,
  EXCEPTION_NMI = 2,
  EXCEPTION_HARDFAULT = 3,
  EXCEPTION_MEMMANAGE = 4,
  EXCEPTION_BUSFAULT = 5,
  EXCEPTION_USAGEFAULT = 6,
  EXCEPTION_SVCALL = 11,
  EXCEPTION_MONITOR = 12,
  EXCEPTION_PENDSV = 14,
  EXCEPTION_SYSTICK = 15,
  EXCEPTION_IRQ0 = 16,
  EXCEPTION_COUNT = 48, /* v6-M: 32 interrupts */
  EXCEPTION_LIMIT = 256 /* v7-M: 240 */
};

/* A set of exception numbers. */
struct exception_set {
  uint64_t words[EXCEPTION_LIMIT / 64];
};

#define CORE_EXC_RETURN 0xf0000000u /* and above; ARM DDI 0419E B1.5.8 */
#define CORE_LOCKUP_PC  0xfffffffeu /* ARM DDI 0419E B1.5.15 */

/* Bits of xpsr and control. */
#define CORE_FLAGS         0xf0000000u /* N Z C V */
#define CORE_SATURATED     (1u << 27)  /* Q, v7-M */
#define CORE_GREATER       0x000f0000u /* GE, with the DSP extension */
#define CORE_IT            0x0600fc00u /* ITSTATE 1:0 at 26:25, 7:2 at 15:10 */
#define CORE_THUMB         0x01000000u
#define CORE_EXCEPTION     0x000001ffu /* v6-M keeps six of them */
#define CORE_UNPRIVILEGED  0x00000001u
#define CORE_PROCESS_STACK 0x00000002u
#define CORE_FLOATING      0x00000004u /* FPCA */
#define CORE_FPSCR_BITS    0xf7c0009fu

#define CORE_NOT_FETCHED 1u /* no word address */

/* SysTick: the counter as it was at a cycle; systick.h. */
struct systick {
  bool enabled, interrupts, counted;
  uint32_t reload, current;
  cycle_t at;
};

/* Status and address registers of the faults of v7-M; fault.h. */
struct fault_status {
  uint32_t configurable; /* CFSR: UFSR, BFSR, MMFSR */
  uint32_t hard;         /* HFSR */
  addr_t memory, bus;    /* MMFAR, BFAR */
};

/* The floating-point extension; fpu.h. */
struct fpu {
  uint32_t s[32], status; /* FPSCR */
  uint32_t access;        /* CPACR */
  uint32_t context;       /* FPCCR */
  addr_t lazy;            /* FPCAR */
  uint32_t initial;       /* FPDSCR */
};

/* The breakpoint unit; breakpoint.h. */
#define CORE_BREAKPOINTS 8u
struct breakpoints {
  bool enabled;
  uint32_t compare[CORE_BREAKPOINTS];
};

/* v7-M: what the last instruction leaves in the pipeline for the next. */
enum { CORE_FLOW_NONE, CORE_FLOW_RESULT, CORE_FLOW_LOAD };
struct core_flow {
  uint8_t kind;
  bool narrow;      /* it was a 16-bit one, and execution went straight on */
  uint16_t results; /* bit per register that it computed or loaded */
  uint32_t floats;  /* bit per single-precision one that it computed */
};

/* An instruction that was begun and is not done: the one at r[15]. */
struct core_progress {
  bool begun;
  bool list;     /* LDM, STM, PUSH, POP; else one that only takes time: */
  uint8_t words; /* of the list, transferred */
  uint8_t first; /* of them, those before it was begun again in the middle */
  uint32_t held[16]; /* loaded since then, by register */
  cycle_t spent;     /* cycles that have passed */
};

/* Memory that the core wrote by itself, for who keeps translated code. */
struct core_stored {
  addr_t at;
  uint32_t size; /* 0: none */
};

struct core {
  const struct part_core *part; /* borrowed */
  bool semihosting; /* BKPT 0xAB calls the host; from the part at first */

  /* r[13] is the stack pointer in use; the other one is in msp or psp. */
  uint32_t r[16];
  uint32_t msp, psp;
  uint32_t xpsr; /* flags, T at bit 24, exception number at 5:0 */
  uint32_t primask, control;
  uint32_t basepri, faultmask; /* v7-M */
  struct fpu fpu;              /* with the floating-point extension */

  enum core_mode mode;
  cycle_t cycle;
  cycle_t deadline;  /* run no further; the chip may lower it at any access */
  cycle_t alarm;     /* the next tick that pends SysTick, or CYCLE_NEVER */
  bool attention;    /* something outside wants core_run to return */
  bool boundary;     /* something inside wants a look at the next boundary */
  cycle_t came_due;  /* when core_run should have come back; while it runs,
                        CYCLE_NEVER */
  cycle_t pended_at; /* the last request from outside, or CYCLE_NEVER */
  uint64_t instructions; /* executed since the script began */
  unsigned region;       /* that the last instruction came from */
  uint64_t counted; /* `instructions` up to which TRACE_RAN has been told */
  addr_t fetched;   /* fetch buffer: the word in it, or CORE_NOT_FETCHED; kept
                       where some region has wait states */
  cycle_t fetch_ready; /* when the word behind it is in the prefetch buffer */
  struct core_flow flow;
  struct core_progress progress;
  cycle_t break_at; /* where `deadline` is but a step: the cycle for which
                       instructions are broken off; else 0 */

  /* System control space. */
  struct exception_set active, pending, enabled;
  uint8_t priority[EXCEPTION_LIMIT]; /* a byte, unimplemented bits zero */
  uint32_t priority_group;           /* AIRCR.PRIGROUP, v7-M */
  struct systick systick;
  bool event;            /* the event register of WFE */
  bool sleeps_for_event; /* it was WFE */
  uint32_t vector_base;
  uint32_t system_control;
  uint32_t configuration; /* CCR, v7-M */
  uint32_t auxiliary;     /* ACTLR, v7-M */
  struct fault_status fault_status;
  bool exclusive;       /* the local monitor, between LDREX and STREX */
  uint64_t entered_at;  /* `instructions` + 1 at the last exception entry */
  bool reset_requested; /* SYSRESETREQ; taken by the chip */
  addr_t fault_at;      /* of the access that failed */
  struct core_stored stored; /* by the core itself since it was looked at */

  /* Debug state that outlives a local reset (ARM DDI 0419E C1.6). */
  bool debug_enabled;    /* C_DEBUGEN */
  bool catch_reset;      /* VC_CORERESET */
  bool catch_hardfault;  /* VC_HARDERR */
  uint32_t catch_faults; /* VC_* at 9:4 of DEMCR, v7-M */
  uint32_t debug_catch;  /* of those, what the fault being taken triggers */
  uint32_t monitor;      /* MON_* at 19:16 of DEMCR, v7-M */
  bool trace_enabled;    /* DWTENA: kept, nothing hangs on it */
  struct breakpoints breakpoints;
  uint32_t debug_fault_status;
  bool reset_seen;       /* S_RESET_ST */
  uint64_t retired_seen; /* `instructions` when S_RETIRE_ST was read */
  uint32_t debug_data;   /* DCRDR */
  bool debug_step;       /* C_STEP; cleared by a reset */
  bool debug_mask;       /* C_MASKINTS; cleared by a reset */
};

/* Before first power: OFF, everything zero. */
void core_init(struct core *c, const struct part_core *part);

/* Supply lost; registers unknown (zero here), debug state lost. `cycle` and
 * `instructions` stay. Reports TRACE_RAN for what ran. */
void core_power_off(struct core *c, const struct bus *bus);

/* The reset is asserted: nothing executes until core_reset. `lose_debug`
 * clears debug enable and vector catch. Reports TRACE_RAN for what ran. */
void core_hold(struct core *c, const struct bus *bus, bool lose_debug);

/* Architectural reset of a HELD core from the vectors at `vector_base` (ARM
 * DDI 0419E B1.5.5), which must lie in a region. With catch_reset armed and
 * debug enabled the core halts before its first instruction. A vector that
 * can't be read locks up at priority -1, as if HardFault were active.
 * Registers that the architecture leaves unknown are zero. Takes no cycles. */
void core_reset(struct core *c, const struct bus *bus, addr_t vector_base);

/* Run until the first instruction boundary at or after `until`, or something
 * stops it. May be called in any mode; returns at once where nothing runs.
 * Faults, exceptions and lockup are handled inside. Sets `deadline`; clears
 * `attention` when it returns for it, which comes before any other reason. */
enum core_stop core_run(struct core *c, struct cpu *cpu, const struct bus *bus,
                        cycle_t until);

/* Make a running core_run, or the next one, return at the next instruction
 * boundary. */
void core_attend(struct core *c);

/* Time passed while nothing executed: move `cycle` to `to`. Who asked
 * core_next calls core_wake next. */
void core_idle(struct core *c, cycle_t to);

/* The cycle at which a sleeping core has something to do by itself, or
 * CYCLE_NEVER; and what it does then, which may wake it. */
cycle_t core_next(const struct core *c);
void core_wake(struct core *c, const struct bus *bus);

/* Report instructions not yet reported as TRACE_RAN. */
void core_count(struct core *c, const struct bus *bus);

/* Exception `number` (NMI, PendSV, SysTick, an interrupt) becomes pending. It
 * wakes the core where it would be taken with PRIMASK clear. Ignored while
 * off or held. */
void core_pend(struct core *c, const struct bus *bus, unsigned number);

/* An event: sets the event register, ends a WFE. */
void core_event(struct core *c, const struct bus *bus);

/* Debug requests; each asserts that debug_enabled is set. core_halt does
 * nothing while off or held, core_go nothing unless halted. */
void core_halt(struct core *c, const struct bus *bus);
void core_go(struct core *c, const struct bus *bus);

/* Registers as a debugger sees them: 0..15, then these. Writing PC clears bit
 * 0 and leaves T alone; the exception number in xPSR can't be written; the
 * stack selection of CONTROL only in thread mode. */
enum {
  CORE_XPSR = 16,
  CORE_MSP,
  CORE_PSP,
  CORE_PRIMASK,
  CORE_CONTROL,
  CORE_BASEPRI, /* from here v7-M */
  CORE_FAULTMASK,
  CORE_FPSCR,
  CORE_S0,
  CORE_REGISTERS = CORE_S0 + 32
};
uint32_t core_register(const struct core *c, unsigned number);
void core_set_register(struct core *c, unsigned number, uint32_t value);

/* Word of the system control space as the debug port reads or writes it, or
 * as software does (`debugger` false: debug registers read as zero and ignore
 * writes on v6-M, ARM DDI 0484C ch. 7). False if the address is not in it:
 * 0xE000E000 to 0xE000EFFF. */
bool core_scs_read(struct core *c, addr_t at, bool debugger, uint32_t *value);
bool core_scs_write(struct core *c, const struct bus *bus, addr_t at,
                    uint32_t value, bool debugger);

/* The breakpoint unit (0xE0002000 to 0xE0002FFF), which is the debugger's on
 * v6-M and everybody's on v7-M. False if the address is not in it. */
bool core_breakpoint_read(const struct core *c, addr_t at, bool debugger,
                          uint32_t *value);
bool core_breakpoint_write(struct core *c, addr_t at, uint32_t value,
                           bool debugger);

/* --- for the files of this folder --------------------------------------- */

/* Change mode and report it. */
void core_enter_mode(struct core *c, const struct bus *bus,
                     enum core_mode mode);

static inline bool core_is_v7m(const struct core *c)
{
  return c->part->kind >= CORE_KIND_M3;
}

static inline bool core_has_fpu(const struct core *c)
{
  return c->part->kind == CORE_KIND_M4F;
}

/* True in handler mode, or where CONTROL does not say otherwise. */
static inline bool core_privileged(const struct core *c)
{
  return (c->xpsr & CORE_EXCEPTION) != 0 ||
         (c->control & CORE_UNPRIVILEGED) == 0;
}

/* As it is seen from the present cycle (base/fold.h). */
void core_fold(const struct core *c, const struct bus *bus, struct fold *f);

#endif
