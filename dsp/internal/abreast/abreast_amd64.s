#include "go_asm.h"
#include "textflag.h"

// One section: X0 is its input x and then its output y, P1 and P2 its memory.
// y = b0·x + p1; p1 = (b1·x + p2) − a1·y; p2 = b2·x − a2·y.
#define SECTION(N, P1, P2) \
	VMULPD  (Cascade_coefficients+80*N+0)(DI), X0, X1; \
	VADDPD  P1, X1, X1; \
	VMULPD  (Cascade_coefficients+80*N+16)(DI), X0, X2; \
	VADDPD  P2, X2, X2; \
	VMULPD  (Cascade_coefficients+80*N+32)(DI), X0, X3; \
	VMULPD  (Cascade_coefficients+80*N+48)(DI), X1, X0; \
	VSUBPD  X0, X2, P1; \
	VMULPD  (Cascade_coefficients+80*N+64)(DI), X1, X0; \
	VSUBPD  X0, X3, P2; \
	VMOVAPD X1, X0

// func add(c *Cascade, frames []float32, three bool)
TEXT ·add(SB), NOSPLIT, $0-33
	MOVQ    c+0(FP), DI
	MOVQ    frames_base+8(FP), SI
	MOVQ    frames_len+16(FP), CX
	MOVBLZX three+32(FP), AX
	VMOVUPD (Cascade_memory+0)(DI), X4
	VMOVUPD (Cascade_memory+16)(DI), X5
	VMOVUPD (Cascade_memory+32)(DI), X6
	VMOVUPD (Cascade_memory+48)(DI), X7
	VMOVUPD (Cascade_memory+64)(DI), X8
	VMOVUPD (Cascade_memory+80)(DI), X9
	VMOVUPD (Cascade_Sums+Sums_DC)(DI), X10
	VMOVUPD (Cascade_Sums+Sums_Flat)(DI), X11
	VMOVUPD (Cascade_Sums+Sums_Power)(DI), X12
	VMOVUPD Cascade_offset(DI), X13
	VXORPD  X15, X15, X15
	SHRQ    $1, CX
	JZ      keep

frame:
	VMOVSD    (SI), X0
	VCVTPS2PD X0, X0
	VSUBPD    X0, X0, X1     // 0, or no number where x is not finite
	VCMPPD    $0, X15, X1, X1
	VANDPD    X1, X0, X0
	VADDPD    X0, X10, X10
	VMULPD    X0, X0, X1
	VADDPD    X1, X11, X11
	VADDPD    X13, X0, X0
	SECTION(0, X4, X5)
	SECTION(1, X6, X7)
	TESTL     AX, AX
	JZ        power
	SECTION(2, X8, X9)

power:
	VMULPD X0, X0, X0
	VADDPD X0, X12, X12
	ADDQ   $8, SI
	DECQ   CX
	JNZ    frame

keep:
	VMOVUPD X4, (Cascade_memory+0)(DI)
	VMOVUPD X5, (Cascade_memory+16)(DI)
	VMOVUPD X6, (Cascade_memory+32)(DI)
	VMOVUPD X7, (Cascade_memory+48)(DI)
	VMOVUPD X8, (Cascade_memory+64)(DI)
	VMOVUPD X9, (Cascade_memory+80)(DI)
	VMOVUPD X10, (Cascade_Sums+Sums_DC)(DI)
	VMOVUPD X11, (Cascade_Sums+Sums_Flat)(DI)
	VMOVUPD X12, (Cascade_Sums+Sums_Power)(DI)
	RET
