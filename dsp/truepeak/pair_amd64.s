#include "go_asm.h"
#include "textflag.h"

// The samples FRONT and BACK of four windows, as far from the middle each, and
// what they add to the even and the odd part.
#define BOTH(FRONT, BACK) \
	VCVTPS2PD FRONT(SI), Y4; \
	VCVTPS2PD BACK(SI), Y5; \
	VADDPD    Y5, Y4, Y6; \
	VSUBPD    Y5, Y4, Y7

#define TAP(N, FRONT, BACK) \
	BOTH(FRONT, BACK); \
	VMULPD (pair_evens+32*N)(DI), Y6, Y6; \
	VMULPD (pair_odds+32*N)(DI), Y7, Y7; \
	VADDPD Y6, Y1, Y1; \
	VADDPD Y7, Y2, Y2

// func peakOfFours(p *pair, x []float32, top float64) float64
TEXT ·peakOfFours(SB), NOSPLIT, $0-48
	MOVQ         p+0(FP), DI
	MOVQ         x_base+8(FP), SI
	MOVQ         x_len+16(FP), CX
	VBROADCASTSD top+32(FP), Y0
	VPCMPEQD     X3, X3, X3
	VPSRLQ       $1, X3, X3
	VINSERTF128  $1, X3, Y3, Y3
	SUBQ         $(11+4), CX

windows:
	BOTH(0, 44)
	VMULPD (pair_evens+0)(DI), Y6, Y1
	VMULPD (pair_odds+0)(DI), Y7, Y2
	TAP(1, 4, 40)
	TAP(2, 8, 36)
	TAP(3, 12, 32)
	TAP(4, 16, 28)
	TAP(5, 20, 24)
	VANDPD Y3, Y1, Y1
	VANDPD Y3, Y2, Y2
	VADDPD Y2, Y1, Y1
	VMAXPD Y0, Y1, Y0
	ADDQ   $16, SI
	SUBQ   $4, CX
	JGE    windows
	VEXTRACTF128 $1, Y0, X1
	VMAXPD       X1, X0, X0
	VUNPCKHPD    X0, X0, X1
	VMAXSD       X1, X0, X0
	VZEROUPPER
	MOVSD X0, ret+40(FP)
	RET
