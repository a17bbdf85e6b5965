#include "go_asm.h"
#include "textflag.h"

// One section of all four bands: Y0 is its input and then its output, P2 its
// memory of two samples ago, which becomes that of this one, and P1 that of the
// last. v = y − a2·p2 − a1·p1; y, p2 = v − p2, v.
#define SECTION(N, P1, P2) \
	VMULPD  (quad_a2+32*N)(DI), P2, Y1; \
	VSUBPD  Y1, Y0, Y0; \
	VMULPD  (quad_a1+32*N)(DI), P1, Y1; \
	VSUBPD  Y1, Y0, Y1; \
	VSUBPD  P2, Y1, Y0; \
	VMOVAPD Y1, P2

// The powers of what comes out: Y12 time-weighted, Y13 its highest, Y14 the sum.
#define POWERS \
	VMULPD  Y0, Y0, Y0; \
	VADDPD  Y0, Y14, Y14; \
	VMULPD  Y15, Y12, Y12; \
	VMULPD  Y2, Y0, Y0; \
	VADDPD  Y0, Y12, Y12; \
	VMAXPD  Y13, Y12, Y13

// A frame, from OFFSET(SI). What is one sample old in it is two old in the next:
// the two sets of registers change roles.
#define FRAME(OFFSET, P1, P2, Q1, Q2, R1, R2, S1, S2) \
	VBROADCASTSD OFFSET(SI), Y0; \
	SECTION(0, P1, P2); \
	SECTION(1, Q1, Q2); \
	SECTION(2, R1, R2); \
	SECTION(3, S1, S2); \
	POWERS

// func runTogether(q *quad, x []float64)
TEXT ·runTogether(SB), NOSPLIT, $0-32
	MOVQ    q+0(FP), DI
	MOVQ    x_base+8(FP), SI
	MOVQ    x_len+16(FP), CX
	VMOVUPD (quad_w1+0)(DI), Y4
	VMOVUPD (quad_w2+0)(DI), Y5
	VMOVUPD (quad_w1+32)(DI), Y6
	VMOVUPD (quad_w2+32)(DI), Y7
	VMOVUPD (quad_w1+64)(DI), Y8
	VMOVUPD (quad_w2+64)(DI), Y9
	VMOVUPD (quad_w1+96)(DI), Y10
	VMOVUPD (quad_w2+96)(DI), Y11
	VMOVUPD quad_square(DI), Y12
	VMOVUPD quad_top(DI), Y13
	VMOVUPD quad_energy(DI), Y14
	VMOVUPD quad_keep(DI), Y15
	VMOVUPD quad_share(DI), Y2
	SUBQ    $2, CX
	JLT     last

two:
	FRAME(0, Y4, Y5, Y6, Y7, Y8, Y9, Y10, Y11)
	FRAME(8, Y5, Y4, Y7, Y6, Y9, Y8, Y11, Y10)
	ADDQ $16, SI
	SUBQ $2, CX
	JGE  two

last:
	ADDQ    $2, CX
	JZ      keep
	FRAME(0, Y4, Y5, Y6, Y7, Y8, Y9, Y10, Y11)
	VMOVAPD Y4, Y0
	VMOVAPD Y5, Y4
	VMOVAPD Y0, Y5
	VMOVAPD Y6, Y0
	VMOVAPD Y7, Y6
	VMOVAPD Y0, Y7
	VMOVAPD Y8, Y0
	VMOVAPD Y9, Y8
	VMOVAPD Y0, Y9
	VMOVAPD Y10, Y0
	VMOVAPD Y11, Y10
	VMOVAPD Y0, Y11

keep:
	VMOVUPD Y4, (quad_w1+0)(DI)
	VMOVUPD Y5, (quad_w2+0)(DI)
	VMOVUPD Y6, (quad_w1+32)(DI)
	VMOVUPD Y7, (quad_w2+32)(DI)
	VMOVUPD Y8, (quad_w1+64)(DI)
	VMOVUPD Y9, (quad_w2+64)(DI)
	VMOVUPD Y10, (quad_w1+96)(DI)
	VMOVUPD Y11, (quad_w2+96)(DI)
	VMOVUPD Y12, quad_square(DI)
	VMOVUPD Y13, quad_top(DI)
	VMOVUPD Y14, quad_energy(DI)
	VZEROUPPER
	RET
